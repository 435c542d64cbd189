import { access, readdir } from 'node:fs/promises';
import { join, sep } from 'node:path';
import { isPattern, matchPattern } from '../src/project/match-pattern.ts';
import { PROJECT_FILE } from './project-file.ts';

/** `**` reaches so many folders down. */
const DEEPEST = 8;
/** No projects lie in these. */
const SKIPPED = new Set(['node_modules', 'report', 'recordings']);

/**
 * The folders that the arguments of a command name: each as it is if it exists, else the project folders that it fits as a
 * pattern, in the order of their names. No shell is needed for it, so that it works the same where the shell expands nothing.
 *
 * @returns the folders, each once; and the patterns that no project folder fits
 */
export async function expandFolders(named: readonly string[]): Promise<{ folders: string[]; unmatched: string[] }> {
  const folders = new Set<string>();
  const unmatched: string[] = [];
  for (const one of named) {
    if (!isPattern(one) || (await exists(one))) folders.add(one);
    else {
      const found = await projectsLike(one.split(sep).join('/'));
      for (const folder of found) folders.add(folder);
      if (found.length === 0) unmatched.push(one);
    }
  }
  return { folders: [...folders], unmatched };
}

async function projectsLike(pattern: string): Promise<string[]> {
  const parts = pattern.replace(/\/+$/, '').split('/');
  const plain = parts.findIndex(isPattern);
  const base = parts.slice(0, plain).join('/') || (pattern.startsWith('/') ? '/' : '.');
  const rest = parts.slice(plain);
  const fits = matchPattern(rest.join('/'));
  const deepest = rest.includes('**') ? DEEPEST : rest.length;
  const found: string[] = [];
  const walk = async (inside: string, depth: number): Promise<void> => {
    const entries = await readdir(join(base, inside), { withFileTypes: true }).catch(() => []);
    const names = entries.filter((entry) => entry.isDirectory() && !entry.name.startsWith('.'));
    for (const name of names.map((entry) => entry.name).sort((a, b) => (a < b ? -1 : 1))) {
      if (SKIPPED.has(name)) continue;
      const path = inside === '' ? name : `${inside}/${name}`;
      if (fits(path) && (await exists(join(base, path, PROJECT_FILE)))) found.push(join(base, path));
      if (depth < deepest) await walk(path, depth + 1);
    }
  };
  await walk('', 1);
  return found;
}

async function exists(path: string): Promise<boolean> {
  return access(path).then(
    () => true,
    () => false,
  );
}
