import { access, constants, lstat, readdir } from 'node:fs/promises';
import { join } from 'node:path';
import type { Diagnostic } from '../src/project/diagnostic.ts';
import * as messages from '../src/project/messages.ts';
import { systemReason } from './system-reason.ts';

/** What the tool writes into, within a project folder. */
const OWN = ['report', '.decaybook'];
const KEPT = '.decaybook/kept';

/**
 * The folders of the tool in a project that are links or no folders: whoever made the project would have the tool write, or remove, something else.
 *
 * @param folder - absolute, links resolved
 */
export async function linkedOwnFolders(folder: string): Promise<Diagnostic[]> {
  const kept = (await readdir(join(folder, KEPT)).catch((): string[] => [])).map((name) => `${KEPT}/${name}`);
  const found = await Promise.all(
    [...OWN, KEPT, ...kept].map(async (name): Promise<Diagnostic[]> => {
      const entry = await lstat(join(folder, name)).catch(() => null);
      if (entry?.isSymbolicLink()) return [errorAt(name, messages.ownFolderIsLink())];
      return entry === null || entry.isDirectory() ? [] : [errorAt(name, messages.ownFolderIsFile())];
    }),
  );
  return found.flat();
}

/** Why no report can be written into a project folder; null where it can, as far as can be told before. */
export async function unwritable(folder: string): Promise<Diagnostic | null> {
  for (const name of ['.', ...OWN]) {
    try {
      await access(join(folder, name), constants.W_OK);
    } catch (fault) {
      if ((fault as NodeJS.ErrnoException).code === 'ENOENT') continue;
      return errorAt(name === '.' ? 'report' : name, messages.cannotBeWritten(systemReason(fault)));
    }
  }
  return null;
}

function errorAt(file: string, message: string): Diagnostic {
  return { file, line: null, column: null, severity: 'error', message };
}
