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
 * a link to a file only where the file lies in the project: what is read is what the folder holds. Pipes and devices are no
 * files. What cannot be read is told as a diagnostic.
 *
 * @param folder - absolute, links resolved
 */
export async function listFiles(folder: string): Promise<{ files: string[]; diagnostics: Diagnostic[] }> {
  const files: string[] = [];
  const diagnostics: Diagnostic[] = [];
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
        if (await isFileInside(folder, path)) files.push(path);
        else tell(path, 'warning', messages.linkNotFollowed());
      } else if (entry.isFile()) files.push(path);
      else if (entry.isDirectory() && depth < DEEPEST) await walk(path, depth + 1);
    }
  };
  await walk('', 0);
  return { files, diagnostics };
}

async function isFileInside(folder: string, path: string): Promise<boolean> {
  try {
    const target = await realpath(join(folder, path));
    const way = relative(folder, target);
    const outside = way === '..' || way.startsWith(`..${sep}`) || join(folder, way) !== target;
    return !outside && (await stat(target)).isFile();
  } catch {
    return false; // a link to nothing, or in a circle
  }
}
