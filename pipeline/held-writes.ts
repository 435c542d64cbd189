import pLimit from 'p-limit';

/** Writes into one folder that wait for a better moment. */
export interface HeldWrites {
  /** Begins them, and holds back no more. */
  release: () => void;
  /** Resolves when all of them are done, releasing them if need be. */
  settled: () => Promise<void>;
}

/** Beyond so much it is written as it comes: a long run that is broken off then loses little, and memory does not grow with it. */
const MOST_HELD = 16_000_000;
/** So many files are open at once. */
const AT_ONCE = 8;

interface Held {
  size: number;
  writes: (() => Promise<void>)[];
}

const heldIn = new Map<string, Held>();

/**
 * Holds back what is about to be written into a folder. Small files by the hundred take a tenth of all that a first report costs, and
 * nothing waits for them: they are best written while the browser prints. Held in memory meanwhile: a run that is broken off makes it again.
 */
export function holdWrites(folder: string): HeldWrites {
  const held: Held = { size: 0, writes: [] };
  const limit = pLimit(AT_ONCE);
  let done: Promise<unknown> | null = null;
  const release = () => {
    if (heldIn.get(folder) === held) heldIn.delete(folder);
    done ??= Promise.all(held.writes.map((write) => limit(write)));
  };
  if (!heldIn.has(folder)) heldIn.set(folder, held);
  return {
    release,
    settled: async () => {
      release();
      await done;
    },
  };
}

/**
 * Whether a write into a folder is held back, to be done later.
 *
 * @param size of what is written, in characters or bytes
 */
export function heldBack(folder: string, write: () => Promise<void>, size: number): boolean {
  const held = heldIn.get(folder);
  if (held === undefined || held.size + size > MOST_HELD) return false;
  held.size += size;
  held.writes.push(write);
  return true;
}
