import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { BUILT, packageFolder } from './resources.ts';

/** Parts of the tool whose results are kept: what reads a take, and all that makes a report of the readings. */
export type CodePart = 'analysis' | 'report';

/** Where the build notes what it is made of, in dist/. */
export const BUILD_ID_FILE = 'build-id.json';

const ANALYSIS =
  /^(src[\\/](audio|signal|room)[\\/]|pipeline[\\/](align|analyse|average-decays|decode|measure-take|normalise|sweep-file)\.)/;

let known: Record<CodePart, string> | null = null;

/**
 * A fingerprint of the code of this build, as the build noted it: kept results that other code made are made anew. Run from
 * the sources, as the tests do, there is no such note, and all sources count as one.
 */
export function codeId(part: CodePart): string {
  known ??= readId();
  return known[part];
}

function readId(): Record<CodePart, string> {
  const sources = { analysis: 'sources', report: 'sources' };
  if (!BUILT) return sources;
  try {
    return JSON.parse(readFileSync(join(packageFolder(), 'dist', BUILD_ID_FILE), 'utf8')) as Record<CodePart, string>;
  } catch {
    return sources;
  }
}

/** The fingerprints of a built folder: SHA-256 over names and contents of its code, and of the templates, in order of name. */
export function fingerprintBuild(dist: string, templates: string): Record<CodePart, string> {
  const code = filesOf(dist).filter(({ name }) => name.endsWith('.js'));
  return {
    analysis: digestOf(code.filter(({ name }) => ANALYSIS.test(name))),
    report: digestOf([...code, ...filesOf(templates)]),
  };
}

function filesOf(folder: string): { name: string; path: string }[] {
  return readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name))
    .map((path) => ({ name: path.slice(folder.length + 1), path }))
    .sort((a, b) => (a.name < b.name ? -1 : 1));
}

function digestOf(files: readonly { name: string; path: string }[]): string {
  const hash = createHash('sha256');
  for (const { name, path } of files) hash.update(`${name}\0`).update(readFileSync(path));
  return hash.digest('hex').slice(0, 16);
}
