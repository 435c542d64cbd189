import { mkdir, open, rename, rm } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import pLimit from 'p-limit';
import { cannotWrite, freeBytes } from './cannot-write.ts';

/** Waiting for the disk to hold a file takes longer than writing it: the waits run side by side. */
const WRITTEN_AT_ONCE = 8;

/** Some files by their path within a folder, each with the bytes that are written into it. */
export type FilesToWrite = ReadonlyMap<string, Uint8Array>;

/**
 * Writes some files into a folder that is there, with the folders between. The disk holds them before it returns, so that a power cut
 * after a later rename finds them whole.
 *
 * @param shown the folder as the user knows it, for the message
 * @throws CannotWrite, with the file that failed and, where the disk is full, the room needed for all
 */
export async function writeFiles(folder: string, files: FilesToWrite, shown: string): Promise<void> {
  const needed_bytes = [...files.values()].reduce((sum, { length }) => sum + length, 0);
  const free_bytes = await freeBytes(folder);
  const limit = pLimit(WRITTEN_AT_ONCE);
  const write = async ([name, content]: [string, Uint8Array]) => {
    await mkdir(dirname(join(folder, name)), { recursive: true });
    await writeSettled(join(folder, name), content);
  };
  // All are waited for, so that nothing is written any more when the first fault is told.
  const written = await Promise.allSettled([...files].map((file) => limit(write, file)));
  written.forEach((one, i) => {
    if (one.status === 'rejected') {
      throw cannotWrite(one.reason, { what: join(shown, [...files.keys()][i]!), needed_bytes, free_bytes });
    }
  });
}

/**
 * Writes a file aside and gives it its name when it is whole, so that it is never seen half written, and one that was there stands
 * where the new one cannot be written. Throws CannotWrite, with its path.
 */
export async function replaceFile(path: string, content: string | Uint8Array): Promise<void> {
  const aside = `${path}.part`;
  try {
    await writeSettled(aside, content);
    await rename(aside, path);
  } catch (fault) {
    await rm(aside, { force: true }).catch(() => undefined);
    const free_bytes = await freeBytes(dirname(path));
    throw cannotWrite(fault, { what: path, needed_bytes: Buffer.byteLength(content), free_bytes });
  }
}

async function writeSettled(path: string, content: string | Uint8Array): Promise<void> {
  const file = await open(path, 'w');
  try {
    await file.writeFile(content);
    await file.datasync();
  } finally {
    await file.close();
  }
}
