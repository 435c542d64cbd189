import { mkdir, open, rename, rm } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import pLimit from 'p-limit';
import { cannotWrite, freeBytes } from './cannot-write.ts';

/** Waiting for the disk to hold a file takes longer than writing it: the waits run side by side. */
const WRITTEN_AT_ONCE = 8;

/** Some files by their path within a folder, each with the bytes that are written into it. */
export type FilesToWrite = ReadonlyMap<string, Uint8Array>;

/**
 * Writes some files into a folder that is there, with the folders between; where it was removed meanwhile it does not come back. The disk
 * holds them before it returns, so that a power cut after a later rename finds them whole.
 *
 * @param shown the folder as the user knows it, for the message
 * @throws CannotWrite, with the file that failed and, where the disk is full, the room needed for all
 */
export async function writeFiles(folder: string, files: FilesToWrite, shown: string): Promise<void> {
  const needed_bytes = [...files.values()].reduce((sum, { length }) => sum + length, 0);
  const free_bytes = await freeBytes(folder);
  const limit = pLimit(WRITTEN_AT_ONCE);
  const refused = (name: string, fault: unknown) =>
    cannotWrite(fault, { what: join(shown, name), needed_bytes, free_bytes });
  for (const between of foldersOf(files)) {
    await makeFolder(join(folder, between)).catch((fault) => {
      throw refused(between, fault);
    });
  }
  const write = ([name, content]: [string, Uint8Array]) => writeSettled(join(folder, name), content);
  // All are waited for, so that nothing is written any more when the first fault is told.
  const written = await Promise.allSettled([...files].map((file) => limit(write, file)));
  written.forEach((one, i) => {
    if (one.status === 'rejected') throw refused([...files.keys()][i]!, one.reason);
  });
}

/** The folders that hold files, within the one that holds them all; each comes after the one it lies in. */
function foldersOf(files: FilesToWrite): Set<string> {
  const folders = new Set<string>();
  for (const name of files.keys()) {
    const parts = dirname(name).split('/');
    for (let i = 1; i <= parts.length; i++) folders.add(parts.slice(0, i).join('/'));
  }
  folders.delete('.');
  return folders;
}

async function makeFolder(path: string): Promise<void> {
  await mkdir(path).catch((fault: NodeJS.ErrnoException) => {
    if (fault.code !== 'EEXIST') throw fault;
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
