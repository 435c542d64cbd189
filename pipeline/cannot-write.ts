import { statfs } from 'node:fs/promises';
import { systemReason } from './system-reason.ts';

/** Thrown where something cannot be written; the message is the whole line for the user: what, why, and the mend. */
export class CannotWrite extends Error {
  override name = 'CannotWrite';
}

const MENDS: Record<string, string> = {
  ENOSPC: 'make room',
  EDQUOT: 'make room',
  EROFS: 'copy the project folder to where it can be written',
  EACCES: 'give yourself leave to write there',
  EPERM: 'give yourself leave to write there',
  EFBIG: 'raise the limit on the size of files',
};

/**
 * What the system refused to write, as a line for the user; a fault of another kind as it is.
 *
 * @param found.what what was to be written, as the user knows it
 * @param found.needed_bytes room that all of it takes; left out where it is not known
 * @param found.free_bytes room there was before; null or left out where it is not known
 */
export function cannotWrite(
  fault: unknown,
  {
    what,
    needed_bytes = null,
    free_bytes = null,
  }: { what: string; needed_bytes?: number | null; free_bytes?: number | null },
): unknown {
  const { code } = fault as NodeJS.ErrnoException;
  if (fault instanceof CannotWrite || typeof code !== 'string') return fault;
  const reason = systemReason(fault);
  const full = code === 'ENOSPC' || code === 'EDQUOT';
  const room = [
    ...(needed_bytes === null ? [] : [`${megabytes(needed_bytes, Math.ceil)} are needed`]),
    ...(free_bytes === null ? [] : [`${megabytes(free_bytes, Math.floor)} are free`]),
  ].join(' and ');
  const why = full && room !== '' ? `${reason} (${room})` : reason;
  return new CannotWrite(`${what} cannot be written: ${why}: ${MENDS[code] ?? 'mend that'} and run the command again`);
}

/** Room on the disk that holds a folder, for this user; null where it is not told. */
export async function freeBytes(folder: string): Promise<number | null> {
  const found = await statfs(folder).catch(() => null);
  return found && found.bavail * found.bsize;
}

/** To the tenth that is on the safe side. */
function megabytes(bytes: number, round: (value: number) => number): string {
  return `${(round(bytes / 1e5) / 10).toFixed(1)} MB`;
}
