import { execFileSync } from 'node:child_process';
import { cpSync, mkdtempSync, readdirSync, renameSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { packageFolder } from '../pipeline/resources.ts';
import { synthesiseRecordings } from './synthesise.ts';

// The last step of the build: the program runs over a small project while what the engine makes of its code is kept (code-parts.ts says why).
// Without it the program is whole all the same, only slower to start.

const PROJECT = 'bedroom-vocals';
const MOST_MS = 60_000;

const scratch = mkdtempSync(join(tmpdir(), 'decaybook-rehearsal-'));
try {
  const project = join(scratch, PROJECT);
  cpSync(join(packageFolder(), 'projects', PROJECT, 'project.yaml'), join(project, 'project.yaml'));
  await synthesiseRecordings(scratch, [PROJECT]);
  const take = join(project, 'recordings', lastTake(join(project, 'recordings')));
  const aside = join(scratch, 'aside.wav');
  renameSync(take, aside);
  run('check', project);
  run('report', '--no-pdf', project);
  renameSync(aside, take);
  run('report', project);
} finally {
  rmSync(scratch, { recursive: true, force: true });
}

function run(...line: string[]): void {
  const keep = pathToFileURL(join(packageFolder(), 'build', 'pipeline', 'keep-code.js')).href;
  const main = join(packageFolder(), 'dist', 'pipeline', 'main.js');
  try {
    execFileSync(process.execPath, ['--import', keep, main, ...line], { stdio: 'ignore', timeout: MOST_MS });
  } catch {
    // Without a browser there is no PDF, and the command says so by its status: what it ran is kept.
  }
}

function lastTake(recordings: string): string {
  return readdirSync(recordings, { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.wav'))
    .sort()
    .at(-1)!;
}
