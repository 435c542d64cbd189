import { open, stat } from 'node:fs/promises';
import { setTimeout as delay } from 'node:timers/promises';

export interface WholeFileOptions {
  /** A file counts as written when its size has stood still for so long. */
  still_ms: number;
  /** A file that says it is not whole is waited for so long after it last grew; then it is what it is. */
  unfinished_ms: number;
}

const LOOK_EVERY = 4;

/**
 * Waits until a file is whole: its size stands still, and, where it is a WAV file, holds all the sound that its header
 * promises. A recorder that writes as it goes leaves that promise at nothing until it stops, so such a file has to stand still longer.
 * Gives up waiting, without a word, when the file goes away or the signal says so.
 */
export async function wholeFile(
  path: string,
  { still_ms, unfinished_ms }: WholeFileOptions,
  signal?: AbortSignal,
): Promise<void> {
  const step_ms = Math.max(20, still_ms / LOOK_EVERY);
  let last = '';
  let still = 0;
  while (!signal?.aborted) {
    const now = await stat(path).then(
      ({ size, mtimeMs }) => `${size} ${mtimeMs}`,
      () => null,
    );
    if (now === null) return;
    still = now === last ? still + step_ms : 0;
    last = now;
    if (still >= still_ms && (still >= unfinished_ms || (await keepsItsPromise(path)))) return;
    await delay(step_ms, undefined, { ref: true });
  }
}

/** Whether a WAV file is as long as its header says; true for files of other kinds, false where the length is left open. */
async function keepsItsPromise(path: string): Promise<boolean> {
  const file = await open(path, 'r').catch(() => null);
  if (file === null) return true;
  try {
    const { size } = await file.stat();
    const head = Buffer.alloc(12);
    await file.read(head, 0, 12, 0);
    const form = head.toString('latin1', 0, 4);
    if (!['RIFF', 'RIFX'].includes(form) || head.toString('latin1', 8, 12) !== 'WAVE') return true;
    const promised = form === 'RIFX' ? head.readUInt32BE(4) : head.readUInt32LE(4);
    return promised !== 0 && promised !== 0xffffffff && size >= promised + 8;
  } finally {
    await file.close();
  }
}
