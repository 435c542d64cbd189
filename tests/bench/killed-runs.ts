import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, statSync, watch, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as delay } from 'node:timers/promises';
import { writeSmallTake } from '../pipeline/small-project.ts';

/**
 * When a run is ended: so long after its start; so long after it began to write aside; or by itself right before or after it
 * gives a folder a name that holds `name`, or, where that is report-new-, takes that name from it.
 */
export type KillMoment =
  | { at: 'time'; ms: number }
  | { at: 'writing'; ms: number }
  | { at: 'rename'; side: 'before' | 'after'; name: string };

/** How a run came to its end. */
export interface EndedRun {
  pid: number;
  status: number | null;
  signal: NodeJS.Signals | null;
  /** Milliseconds from the start. */
  lasted_ms: number;
  /** From the first sight of the folder aside to the end; null where it was not seen. */
  writing_ms: number | null;
  out: string;
  err: string;
}

/** Which of two projects the folder holds: they differ in what the report says, and in nothing that is recorded. */
export type Variant = 'one' | 'two';

/** Writes a project of two stages with two takes each. Its report is numbered, so that it does not depend on those before. */
export function makeKillProject(folder: string): void {
  setVariant(folder, 'one');
  for (const [i, stage] of ['bare', 'treated'].entries()) {
    for (const take of [1, 2]) writeSmallTake(folder, `recordings/${stage}/A/0${take}.wav`, 1 + 2 * i + take);
  }
}

/** Makes a change that matters: another title, and another room. */
export function setVariant(folder: string, variant: Variant): void {
  mkdirSync(folder, { recursive: true });
  const length = variant === 'one' ? 3.4 : 3.9;
  writeFileSync(
    join(folder, 'project.yaml'),
    `decaybook: 1
title: Room ${variant}
date: 2026-05-04
issue: 1
room: { length: ${length}, width: 2.6, height: 2.4 }
source: { description: hands, kind: clap }
recorder: { fixed_gain: true }
positions: { A: {} }
stages:
  - { id: bare, title: Bare }
  - { id: treated, title: Treated }
`,
  );
}

/** Ends the process before or after the rename that it is told in the environment. Bindings of built-in modules are live. */
const HOOK = `data:text/javascript,${encodeURIComponent(`
import fs from 'node:fs/promises';
import { syncBuiltinESMExports } from 'node:module';
const [side, name] = (process.env.KILL_AT ?? ':').split(':');
const rename = fs.rename;
fs.rename = async (from, to) => {
  const end = () => process.kill(process.pid, 'SIGKILL');
  const meant = side !== '' && (to.includes(name) || (name === 'report-new-' && from.includes(name)));
  if (meant && side === 'before') end();
  await rename(from, to);
  if (meant && side === 'after') end();
};
syncBuiltinESMExports();
`)}`;

/** Runs the program in a process group of its own and ends that as told; null: lets it end. */
export async function endedRun(
  main: string,
  args: readonly string[],
  { folder, moment, signal = 'SIGKILL' }: { folder: string; moment: KillMoment | null; signal?: NodeJS.Signals },
): Promise<EndedRun> {
  const work = join(folder, '.decaybook');
  mkdirSync(work, { recursive: true });
  const placed = moment?.at === 'rename' ? { KILL_AT: `${moment.side}:${moment.name}` } : {};
  const hook = moment?.at === 'rename' ? ['--import', HOOK] : [];
  const begun = performance.now();
  const child = spawn(process.execPath, [...hook, main, ...args], {
    detached: true,
    env: { ...process.env, NO_COLOR: '1', DECAYBOOK_DEBUG: '', ...placed },
  });
  const pid = child.pid!;
  const end = () => {
    try {
      process.kill(signal === 'SIGKILL' ? -pid : pid, signal);
    } catch {
      // It has ended.
    }
  };
  let seen_ms: number | null = null;
  const watcher = watch(work, (_event, name) => {
    if (seen_ms !== null || !name?.startsWith('report-new-')) return;
    seen_ms = performance.now();
    if (moment?.at === 'writing') setTimeout(end, moment.ms);
  });
  if (moment?.at === 'time') setTimeout(end, moment.ms);
  let [out, err] = ['', ''];
  child.stdout.on('data', (text) => {
    out += text;
  });
  child.stderr.on('data', (text) => {
    err += text;
  });
  const [status, by] = await new Promise<[number | null, NodeJS.Signals | null]>((resolve) =>
    child.on('close', (...ended) => resolve(ended)),
  );
  watcher.close();
  const now = performance.now();
  return {
    ...{ pid, status, signal: by, out, err },
    lasted_ms: now - begun,
    writing_ms: seen_ms === null ? null : now - seen_ms,
  };
}

/** Every file below a folder with the SHA-256 of its bytes, as one text; null where there is no folder. */
export function manifest(folder: string): string | null {
  if (!existsSync(folder)) return null;
  const entries = readdirSync(folder, { recursive: true, withFileTypes: true }).filter((entry) => !entry.isDirectory());
  return entries
    .map((entry) => join(entry.parentPath, entry.name))
    .map((path) => `${path.slice(folder.length)} ${createHash('sha256').update(readFileSync(path)).digest('hex')}`)
    .sort()
    .join('\n');
}

/** The recordings with content, size and time of the last change. */
export function recordingsState(folder: string): string {
  const recordings = join(folder, 'recordings');
  const times = readdirSync(recordings, { recursive: true, encoding: 'utf8' }).sort();
  return [manifest(recordings), ...times.map((name) => `${name} ${statSync(join(recordings, name)).mtimeMs}`)].join(
    '\n',
  );
}

/**
 * What a run left in the folder of the tool besides what is kept, by the beginning of its name. Not its lock, of which there is but one,
 * and which the next to swap takes over.
 */
export function leftovers(folder: string): string[] {
  return readdirSync(join(folder, '.decaybook'))
    .filter((name) => /^report[-.]/.test(name))
    .map((name) => /^report[-.][a-z]+/.exec(name)![0]);
}

/** Folders that browsers of runs that are over have left in the folder for passing files. */
export function browserFolders(pid: number): string[] {
  return readdirSync(tmpdir()).filter((name) => new RegExp(`^decaybook-browser-[0-9a-f]{6}-${pid}-`).test(name));
}

/** Whether a browser that this run started is still there after some waiting (Linux). */
export async function browserLeft(pid: number, patience_ms = 5000): Promise<boolean> {
  const begun = performance.now();
  while (performance.now() - begun < patience_ms) {
    if (!isBrowserThere(pid)) return false;
    await delay(50);
  }
  return true;
}

function isBrowserThere(pid: number): boolean {
  const processes = existsSync('/proc') ? readdirSync('/proc').filter((name) => /^\d+$/.test(name)) : [];
  return processes.some((name) => {
    try {
      return new RegExp(`decaybook-browser-[0-9a-f]{6}-${pid}-`).test(readFileSync(`/proc/${name}/cmdline`, 'latin1'));
    } catch {
      return false;
    }
  });
}

/** What stands in report/ after a run was ended: the report of one project or the other, whole; `none`; or `torn`, which must not be. */
export function standing(folder: string, whole: Record<Variant, string>): Variant | 'none' | 'torn' {
  const now = manifest(join(folder, 'report'));
  if (now === null) return 'none';
  return now === whole.one ? 'one' : now === whole.two ? 'two' : 'torn';
}

/** The reports of both projects from runs that nobody ended, one of them made `again` to see that it is the same; and how long such runs take. */
export async function wholeReports(
  main: string,
  { folder, args, again = true }: { folder: string; args: readonly string[]; again?: boolean },
): Promise<{ whole: Record<Variant, string>; run_ms: number; cold_ms: number; writing_ms: number }> {
  const whole = { one: '', two: '' };
  const runs: EndedRun[] = [];
  for (const variant of again ? (['one', 'two', 'one'] as const) : (['one', 'two'] as const)) {
    setVariant(folder, variant);
    const run = await endedRun(main, [...args, folder], { folder, moment: null });
    if (run.status !== 0) throw new Error(`a run that nobody ended failed: ${run.out}${run.err}`);
    const made = manifest(join(folder, 'report'))!;
    if (whole[variant] !== '' && whole[variant] !== made) throw new Error('the same project gave another report');
    whole[variant] = made;
    runs.push(run);
  }
  const writing_ms = Math.max(...runs.map((run) => run.writing_ms ?? 0));
  return { whole, cold_ms: runs[0]!.lasted_ms, run_ms: runs.at(-1)!.lasted_ms, writing_ms };
}

/** Removes what is kept, so that the next run reads all takes again. */
export function forgetKept(folder: string): void {
  rmSync(join(folder, '.decaybook', 'kept'), { recursive: true, force: true });
}
