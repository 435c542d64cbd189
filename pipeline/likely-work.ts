import { lstat } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { anythingKept } from './keep.ts';
import { listFiles } from './list-files.ts';
import { PROJECT_FILE } from './project-file.ts';

/** What a report of a project is likely to come to. */
export interface LikelyWork {
  /** Nothing is kept: all will have to be made. */
  all: boolean;
  /** Files that are newer than the last report, the project file aside. */
  newer: number;
  /** Whether anything is: a file, a folder that something was taken out of, the project file. */
  changed: boolean;
}

/**
 * Guesses from times alone, before anything is read, what will have to be made. Threads and a browser can then start meanwhile. A wrong guess
 * costs time, never a result.
 *
 * @param folder a project folder, there or not
 */
export async function likelyWork(folder: string): Promise<LikelyWork> {
  const [is_kept, last_ms] = await Promise.all([
    anythingKept(folder),
    changed_ms(join(folder, 'report', 'results.json')),
  ]);
  if (!is_kept || last_ms === null) return { all: !is_kept, newer: 0, changed: true };
  const files = (await listFiles(folder)).files.filter((file) => file !== PROJECT_FILE);
  // The project folder itself changes with every report that is written into it.
  const folders = [...new Set(files.map((file) => dirname(file)))].filter((inside) => inside !== '.');
  const isNewer = async (inside: string) => ((await changed_ms(join(folder, inside))) ?? 0) > last_ms;
  const count = async (names: readonly string[]) => (await Promise.all(names.map(isNewer))).filter(Boolean).length;
  const [newer, others] = await Promise.all([count(files), count([...folders, PROJECT_FILE])]);
  return { all: false, newer, changed: newer + others > 0 };
}

/** When a file or a folder was last changed, moved or written, ms since 1970; null where there is none. */
async function changed_ms(path: string): Promise<number | null> {
  return lstat(path).then(
    ({ ctimeMs }) => ctimeMs,
    () => null,
  );
}
