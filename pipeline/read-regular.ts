import { constants } from 'node:fs';
import { lstat, open } from 'node:fs/promises';

/** Windows has neither pipes in folders nor the flag. */
const AT_ONCE = constants.O_NONBLOCK ?? 0;

/**
 * The bytes of a file that came with a project. A pipe is not waited for and a device not read: throws, as the system would, with
 * the code EFTYPE for what is no file, EFBIG for a file of more than `most_bytes`, ELOOP for a link unless links are to be followed.
 *
 * @param options.first_bytes so many from its beginning, where it has them; left out, all
 */
export async function readRegular(
  path: string,
  { most_bytes, links = false, first_bytes }: { most_bytes: number; links?: boolean; first_bytes?: number },
): Promise<Buffer> {
  const refuse = (code: string): never => {
    throw Object.assign(new Error(`${code}: ${path}`), { code, path });
  };
  const entry = await lstat(path);
  if (entry.isSymbolicLink() && !links) refuse('ELOOP');
  if (!entry.isFile() && !entry.isSymbolicLink()) refuse('EFTYPE');
  const file = await open(path, constants.O_RDONLY | AT_ONCE);
  try {
    const opened = await file.stat();
    if (!opened.isFile()) refuse('EFTYPE');
    if (opened.size > most_bytes) refuse('EFBIG');
    if (first_bytes === undefined) return await file.readFile();
    const { buffer, bytesRead } = await file.read(Buffer.alloc(first_bytes), 0, first_bytes, 0);
    return buffer.subarray(0, bytesRead);
  } finally {
    await file.close();
  }
}
