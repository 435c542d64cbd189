/** Beside the channels in double precision: the one that is used without its offset, and what its filters hold (measured). */
const COPIES = 2.2;
const BYTES_A_SAMPLE = 8;
/** With the program itself and the bytes of the file this stays under 1.5 GB. */
const MOST_BYTES = 1.25e9;

/**
 * Why so long a sound is not read, null where it is: it is held in memory whole, in double precision, with copies of the channel used.
 *
 * @param sound.frames samples of each channel
 */
export function memoryRefusal({ frames, channels }: { frames: number; channels: number }): string | null {
  const bytes = BYTES_A_SAMPLE * frames * (channels + COPIES);
  if (bytes <= MOST_BYTES) return null;
  const [found, most] = [bytes, MOST_BYTES].map((count) => (count / 1e9).toFixed(2));
  return `it would take ${found} GB of memory to read, and ${most} GB is the most that is used: cut it into shorter files`;
}
