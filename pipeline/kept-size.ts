import { mkdir, rm, writeFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { readRegular } from './read-regular.ts';

// How large a folder of kept results is, noted in it, so that not every entry has to be read at each report. The note is taken away before the
// first result is put and written again by whoever knows the size: a run that ends between leaves none, and the next measures.

/** In a folder of its own: a file among the folders of kept results counts as strange. */
const NOTE = join('size', 'bytes');
const LONGEST_NOTE_BYTES = 15;

interface Count {
  /** The size before this run; without end where it was not noted. */
  before_bytes: Promise<number>;
  put_bytes: number;
}

const counts = new Map<string, Count>();

/** Counts what is about to be put into a folder, which is made where it is missing; the note is gone when it returns. */
export async function countPut(folder: string, bytes: number): Promise<void> {
  const earlier = counts.get(folder);
  const made = (await mkdir(folder, { recursive: true })) !== undefined;
  let count = counts.get(folder);
  // A folder that was not there holds nothing, whatever is known of one that was.
  if (count === undefined || (made && count === earlier)) {
    count = { before_bytes: made ? Promise.resolve(0) : takeNote(folder), put_bytes: 0 };
    counts.set(folder, count);
  } else if (made) count.before_bytes = Promise.resolve(0);
  count.put_bytes += bytes;
  await count.before_bytes;
}

/** The size of a folder with what this thread has put into it, without end where it has to be measured. */
export async function expectedSize(folder: string): Promise<number> {
  const count = counts.get(folder);
  return count === undefined ? readNote(folder) : (await count.before_bytes) + count.put_bytes;
}

/** Notes the size of a folder. What another run puts at the same moment may be missing from it, until it is measured again. */
export async function noteSize(folder: string, bytes: number): Promise<void> {
  counts.delete(folder);
  const note = join(folder, NOTE);
  await mkdir(dirname(note), { recursive: true });
  await rm(note, { force: true });
  // Nothing is written through a link that came with the project.
  await writeFile(note, String(bytes), { flag: 'wx' });
}

async function takeNote(folder: string): Promise<number> {
  const noted = await readNote(folder);
  await rm(join(folder, NOTE), { force: true }).catch(() => undefined);
  return noted;
}

async function readNote(folder: string): Promise<number> {
  const read = readRegular(join(folder, NOTE), { most_bytes: LONGEST_NOTE_BYTES });
  const text = await read.then(String, () => '');
  return /^\d+$/.test(text) ? Number(text) : Number.POSITIVE_INFINITY;
}
