/** Where the two chunks that matter lie in a WAV file, by byte offset. */
export interface WavChunks {
  /** RIFF and RF64 are little-endian, RIFX big-endian; BW64 (ITU-R BS.2088) is built as RF64 and counts as such. */
  container: 'RIFF' | 'RIFX' | 'RF64';
  format: { start: number; size: number };
  data: { start: number; size: number };
}

const SIZE_UNKNOWN = 0xffffffff;

/**
 * The format and data chunks of a WAV file, found without copying or reading the samples. Sizes are checked against the
 * bytes that are there, so whoever reads from the result cannot run past the end.
 *
 * RF64 writes 0xFFFFFFFF for the size of the data and the true one into its ds64 chunk (EBU Tech 3306, 2009). Where that is not to be had, a size of
 * 0 or 0xFFFFFFFF is what recorders leave that write as they go: the sound then runs to the end of the file. A size of 0 before other
 * whole chunks is no sound at all.
 *
 * @returns the chunks, or a sentence without a full stop saying what is wrong
 */
export function wavChunks(bytes: Uint8Array): WavChunks | string {
  if (bytes.length === 0) return 'the file is empty';
  if (bytes.length < 12) return 'the file is too small to be a WAV recording';
  const packed = fourLetters(bytes, 0);
  const container = packed === 'BW64' ? 'RF64' : packed;
  if (container !== 'RIFF' && container !== 'RIFX' && container !== 'RF64') return 'this is not a WAV file';
  if (fourLetters(bytes, 8) !== 'WAVE') return 'this is not a WAV file, though it is packed like one';
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let format: WavChunks['format'] | null = null;
  const littleEndian = container !== 'RIFX';
  let long: number | null = null;
  let at = 12;
  while (at + 8 <= bytes.length) {
    const id = fourLetters(bytes, at);
    const stated = view.getUint32(at + 4, littleEndian);
    const size = id === 'data' && stated === SIZE_UNKNOWN && long !== null ? long : stated;
    const start = at + 8;
    if (id === 'fmt ') {
      if (size < 16 || start + size > bytes.length) return 'its format chunk is cut short';
      format = { start, size };
    }
    if (id === 'ds64' && container === 'RF64' && size >= 16 && start + 16 <= bytes.length) {
      long = Number(view.getBigUint64(start + 8, true)) || null;
    }
    if (id === 'data') {
      if (format === null) return 'its format chunk is missing';
      const there = bytes.length - start;
      if (size === 0 && there > 0 && isChainOfChunks(view, start, littleEndian)) return 'it holds no sound data';
      const openEnded = size === SIZE_UNKNOWN || size === 0;
      if (!openEnded && size > there) {
        const share = Math.floor((100 * there) / size);
        return `the file is cut short: ${share} % of the sound its header promises is there`;
      }
      return { container, format, data: { start, size: openEnded ? there : size } };
    }
    at = start + size + (size % 2);
  }
  return format === null ? 'its format chunk is missing' : 'it holds no sound data';
}

/** Whether chunks with readable names, one after the other, lead to the very end of the file; a single byte may pad the last. */
function isChainOfChunks(view: DataView, start: number, littleEndian: boolean): boolean {
  let at = start;
  while (at + 8 <= view.byteLength) {
    for (let i = 0; i < 4; i++) if (view.getUint8(at + i) < 0x20 || view.getUint8(at + i) > 0x7e) return false;
    at += 8 + 2 * Math.ceil(view.getUint32(at + 4, littleEndian) / 2);
  }
  return at === view.byteLength || at === view.byteLength + 1;
}

/**
 * The number of channels that the beginning of a WAV file states: enough of it to hold the format chunk.
 *
 * @returns null where the format chunk is not among the bytes, or they are no WAV file
 */
export function wavChannelCount(head: Uint8Array): number | null {
  if (head.length < 12 || fourLetters(head, 8) !== 'WAVE') return null;
  const littleEndian = fourLetters(head, 0) !== 'RIFX';
  const view = new DataView(head.buffer, head.byteOffset, head.byteLength);
  let at = 12;
  while (at + 12 <= head.length) {
    const size = view.getUint32(at + 4, littleEndian);
    if (fourLetters(head, at) === 'fmt ') return view.getUint16(at + 10, littleEndian);
    at += 8 + size + (size % 2);
  }
  return null;
}

function fourLetters(bytes: Uint8Array, at: number): string {
  return String.fromCharCode(bytes[at]!, bytes[at + 1]!, bytes[at + 2]!, bytes[at + 3]!);
}
