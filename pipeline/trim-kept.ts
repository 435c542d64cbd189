import { stat } from 'node:fs/promises';
import cacache from 'cacache';
import { expectedSize, noteSize } from './kept-size.ts';

/** What is kept of one project may take so much room: some six hundred takes with their reports. */
const MOST_BYTES = 400_000_000;
/** Once over that, so much is left. */
const LEFT_SHARE = 0.75;

/**
 * Keeps the folder of kept results within its size: when it is over, what was used longest ago is removed. A folder that
 * cannot be read or written is left as it is.
 */
export async function trimKept(folder: string, { most_bytes = MOST_BYTES } = {}): Promise<void> {
  try {
    const expected_bytes = await expectedSize(folder);
    await noteSize(folder, expected_bytes <= most_bytes ? expected_bytes : await trimTo(folder, most_bytes));
  } catch {
    // It only costs room.
  }
}

/** Returns the bytes that are left. */
async function trimTo(folder: string, most_bytes: number): Promise<number> {
  const entries = Object.values(await cacache.ls(folder));
  const total = entries.reduce((sum, { size = 0 }) => sum + size, 0);
  if (total <= most_bytes) return total;
  const dated = await Promise.all(entries.map(async (entry) => ({ entry, used_ms: await lastUsed(entry.path) })));
  dated.sort((a, b) => a.used_ms - b.used_ms);
  let left = total;
  for (const { entry } of dated) {
    if (left <= LEFT_SHARE * most_bytes) break;
    await cacache.rm.entry(folder, entry.key);
    left -= entry.size ?? 0;
  }
  await cacache.verify(folder);
  return left;
}

/** Content is touched whenever it is read. */
async function lastUsed(path: string): Promise<number> {
  return stat(path).then(
    ({ mtimeMs }) => mtimeMs,
    () => 0,
  );
}
