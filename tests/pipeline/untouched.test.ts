import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { chmodSync, existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as delay } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { endedRun, leftovers, makeKillProject, manifest, recordingsState, setVariant } from '../bench/killed-runs.ts';

const MAIN = fileURLToPath(new URL('../../dist/pipeline/main.js', import.meta.url));
const ARGS = ['report', '--no-pdf', '--jobs', '1'];
const ROOT = process.getuid?.() === 0;
/** Modes bind nobody who is root: then another user runs the program, if it may read it. */
const NOBODY = ROOT ? { uid: 65534, gid: 65534 } : {};
const scratch = mkdtempSync(join(tmpdir(), 'decaybook-untouched-'));
const folder = join(scratch, 'project');

beforeAll(() => {
  if (!existsSync(MAIN)) throw new Error('the command line is tested as built: run "npm run build" first');
  makeKillProject(folder);
  chmodSync(scratch, 0o755);
});
afterAll(() => {
  for (const path of pathsBelow(scratch)) chmodSync(path, 0o755);
  rmSync(scratch, { recursive: true, force: true });
});

function pathsBelow(path: string): string[] {
  return [path, ...readdirSync(path, { recursive: true, encoding: 'utf8' }).map((name) => join(path, name))];
}

function runAsNobody(...args: string[]) {
  const env = { ...process.env, NO_COLOR: '1', DECAYBOOK_DEBUG: '' };
  const { status, stdout, stderr } = spawnSync(process.execPath, [MAIN, ...args], { encoding: 'utf8', env, ...NOBODY });
  return { status, out: stdout, err: stderr };
}
const mayRun = process.platform !== 'win32' && runAsNobody('--version').status === 0;
const mayTrace = process.platform === 'linux' && spawnSync('strace', ['-o', '/dev/null', 'true']).status === 0;

describe.runIf(mayRun)('a project folder that may only be read, such as a card from a recorder', () => {
  it('is checked as any other, and the report is refused at once in a line; nothing in it changes', () => {
    const before = manifest(folder);
    for (const path of pathsBelow(folder).reverse()) chmodSync(path, path.endsWith('.wav') ? 0o444 : 0o555);
    const check = runAsNobody('check', folder);
    const report = runAsNobody(...ARGS, folder);
    for (const path of pathsBelow(folder)) chmodSync(path, 0o755);
    expect(check).toMatchObject({ status: 0 });
    expect(check.out).toContain('Bare');
    expect(report).toMatchObject({ status: 1, err: 'Reading the project\n' });
    expect(report.out).toBe(
      'report: error: no report can be written here (permission denied): copy the project folder to where you may write; "decaybook check" needs no leave to write\n',
    );
    expect(manifest(folder)).toBe(before);
  });
});

describe('recordings', () => {
  it.runIf(mayTrace)('are opened for reading only, and nothing but the folders of the tool is written', () => {
    const trace = join(scratch, 'trace');
    const calls =
      'trace=open,openat,creat,rename,renameat,renameat2,unlink,unlinkat,truncate,mkdir,mkdirat,chmod,fchmodat,utimensat';
    const before = recordingsState(folder);
    const ran = spawnSync('strace', ['-f', '-e', calls, '-o', trace, process.execPath, MAIN, ...ARGS, folder]);
    expect(ran.status).toBe(0);
    const lines = readFileSync(trace, 'utf8').split('\n');
    const opened = lines.filter((line) => line.includes('.wav"') && line.includes('/recordings/'));
    expect(opened.length).toBeGreaterThan(4);
    expect(opened.filter((line) => !/openat?\(.*O_RDONLY/.test(line))).toEqual([]);
    const changes = /O_WRONLY|O_RDWR|O_CREAT|^\d+ +(rename|unlink|truncate|mkdir|f?chmod|utimens)\w*\(/;
    const writing = lines.filter((line) => changes.test(line));
    expect(writing.length).toBeGreaterThan(10);
    const own = ['.decaybook', 'report'].map((name) => `"${join(folder, name)}`);
    expect(writing.filter((line) => !own.some((path) => line.includes(path)))).toEqual([]);
    expect(recordingsState(folder)).toBe(before);
  });
});

function endedRunSync(): void {
  expect(spawnSync(process.execPath, [MAIN, ...ARGS, folder]).status).toBe(0);
}

describe('runs at once on one project', () => {
  it('are both done, and leave one report, whole', async () => {
    setVariant(folder, 'two');
    const runs = await Promise.all([1, 2].map(() => endedRun(MAIN, [...ARGS, folder], { folder, moment: null })));
    expect(runs.map(({ status }) => status)).toEqual([0, 0]);
    const both = manifest(join(folder, 'report'));
    rmSync(join(folder, 'report'), { recursive: true });
    endedRunSync();
    expect(manifest(join(folder, 'report'))).toBe(both);
    expect(leftovers(folder)).toEqual([]);
  });

  it('are both done where one of them watches', async () => {
    const watching: ChildProcess = spawn(process.execPath, [MAIN, 'watch', '--no-pdf', '--jobs', '1', folder]);
    let told = '';
    watching.stdout!.on('data', (text) => {
      told += text;
    });
    const until = async (times: number) => {
      while (told.split('Waiting for changes.').length <= times) await delay(30);
    };
    await until(1);
    setVariant(folder, 'one');
    const run = await endedRun(MAIN, [...ARGS, folder], { folder, moment: null });
    expect(run.status).toBe(0);
    await until(2);
    const ended = new Promise((resolve) => watching.once('exit', (...how) => resolve(how)));
    watching.kill('SIGINT');
    expect(await ended).toEqual([0, null]);
    const shown = manifest(join(folder, 'report'));
    rmSync(join(folder, 'report'), { recursive: true });
    endedRunSync();
    expect(manifest(join(folder, 'report'))).toBe(shown);
    expect(leftovers(folder)).toEqual([]);
  }, 60_000);
});
