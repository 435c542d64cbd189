import type { Dirent } from 'node:fs';
import { readdir, realpath, stat } from 'node:fs/promises';
import { join, relative, sep } from 'node:path';
import type { Diagnostic } from '../src/project/diagnostic.ts';
import * as messages from '../src/project/messages.ts';
import { systemReason } from './system-reason.ts';

/** Folders of the tool itself, and of others, in which no recording lies. */
const SKIPPED = new Set(['report', 'node_modules']);
const DEEPEST = 12;

/**
 * Lists the files of a project folder, relative to it, with forward slashes, in the order of their code units.
 *
 * Names that begin with a dot, `report` at the top and `node_modules` are passed over. Links to folders are not followed, and
 * a link to a file only where the file lies in the project: what is read is what the folder holds, and what else is allowed. Pipes
 * and devices are no files. What cannot be read is told as a diagnostic.
 *
 * @param folder - absolute, links resolved
 * @param options.allow - folders outside, absolute, links resolved: links into them are followed, those to folders once each
 */
export async function listFiles(
  folder: string,
  { allow = [] }: { allow?: readonly string[] } = {},
): Promise<{ files: string[]; diagnostics: Diagnostic[] }> {
  const files: string[] = [];
  const diagnostics: Diagnostic[] = [];
  const followed = new Set<string>();
  const tell = (file: string, severity: Diagnostic['severity'], message: string): void => {
    diagnostics.push({ file, line: null, column: null, severity, message });
  };

  const walk = async (inside: string, depth: number): Promise<void> => {
    let entries: Dirent[];
    try {
      entries = await readdir(join(folder, inside), { withFileTypes: true });
    } catch (fault) {
      tell(inside === '' ? '.' : inside, 'error', messages.folderUnreadable(systemReason(fault)));
      return;
    }
    entries.sort((a, b) => (a.name < b.name ? -1 : 1));
    for (const entry of entries) {
      const path = inside === '' ? entry.name : `${inside}/${entry.name}`;
      if (entry.name.startsWith('.') || (SKIPPED.has(entry.name) && depth === 0)) continue;
      if (entry.isSymbolicLink()) {
        const target = await targetInside(join(folder, path), [folder, ...allow]);
        if (target?.kind === 'file') files.push(path);
        else if (target?.kind === 'folder' && !isInside(target.path, folder) && !followed.has(target.path)) {
          followed.add(target.path);
          if (depth < DEEPEST) await walk(path, depth + 1);
        } else tell(path, 'warning', messages.linkNotFollowed());
      } else if (entry.isFile()) files.push(path);
      else if (entry.isDirectory() && depth < DEEPEST) await walk(path, depth + 1);
    }
  };
  await walk('', 0);
  return { files, diagnostics };
}

/**
 * The files in folders outside a project that may be read too, relative to the project folder, as its file would name them.
 *
 * @param folder - absolute, links resolved; so are those in `allow`
 */
export async function filesOutside(folder: string, allow: readonly string[]): Promise<string[]> {
  const outside = allow.filter((one) => !isInside(one, folder));
  const listed = await Promise.all(
    outside.map(async (one) => {
      const way = relative(folder, one).split(sep).join('/');
      return (await listFiles(one)).files.map((file) => `${way}/${file}`);
    }),
  );
  return [...new Set(listed.flat())];
}

/** What a link leads to, where that lies in one of some folders; null elsewhere, for a link to nothing or in a circle. */
async function targetInside(
  link: string,
  folders: readonly string[],
): Promise<{ kind: 'file' | 'folder' | 'other'; path: string } | null> {
  try {
    const path = await realpath(link);
    if (!folders.some((folder) => isInside(path, folder))) return null;
    const entry = await stat(path);
    return { kind: entry.isFile() ? 'file' : entry.isDirectory() ? 'folder' : 'other', path };
  } catch {
    return null;
  }
}

/** Whether a path lies in a folder, or is it. */
function isInside(path: string, folder: string): boolean {
  const way = relative(folder, path);
  return way !== '..' && !way.startsWith(`..${sep}`) && join(folder, way) === join(path);
}
