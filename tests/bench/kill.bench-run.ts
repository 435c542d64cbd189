import { cpSync, mkdtempSync, rmSync, symlinkSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import cacache from 'cacache';
import { afterAll, describe, expect, test } from 'vitest';
import { findBrowser } from '../../pipeline/browser.ts';
import { packageFolder } from '../../pipeline/resources.ts';
import { SeededRandom } from './coverage-random.ts';
import {
  browserFolders,
  browserLeft,
  type EndedRun,
  endedRun,
  forgetKept,
  type KillMoment,
  leftovers,
  makeKillProject,
  recordingsState,
  setVariant,
  standing,
  type Variant,
  wholeReports,
} from './killed-runs.ts';

/**
 * Runs of `report` on a small project, each after a change that matters, each ended at a moment drawn over its whole length, more of
 * them while it writes and swaps, some right before or after each rename. After each: the report in the folder is the earlier one or the new
 * one, every byte of every file; or, where the run was ended between its two renames, the next `check` puts the earlier one back and says so.
 * DECAYBOOK_BENCH_KILLS gives another number of runs, DECAYBOOK_BENCH_SEED another seed.
 */
const RUNS = Number(process.env.DECAYBOOK_BENCH_KILLS ?? 200);
const SEED = Number(process.env.DECAYBOOK_BENCH_SEED ?? 901);
/** One run in so many prints its PDF, where there is a browser; one in so many reads all takes anew. */
const [WITH_PDF, COLD] = [4, 3];
const RENAMES: KillMoment[] = ['report-old-', 'report-new-', 'report-gone-'].flatMap((name) =>
  (['before', 'after'] as const).map((side): KillMoment => ({ at: 'rename', side, name })),
);

interface Tally {
  phase: string;
  earlier: number;
  made: number;
  put_back: number;
}

describe.each([
  ['kill without a PDF', ['report', '--no-pdf'], 1 - 1 / WITH_PDF],
  ['kill with a PDF', ['report'], 1 / WITH_PDF],
] as const)('%s', (name, args, share) => {
  const scratch = mkdtempSync(join(tmpdir(), 'decaybook-kill-'));
  const folder = join(scratch, 'project');
  afterAll(() => rmSync(scratch, { recursive: true, force: true }));

  test(`${Math.round(RUNS * share)} times`, async ({ skip }) => {
    if (!args.includes('--no-pdf' as never) && (await findBrowser()) === null) skip('no browser is here');
    const main = copyOfProgram(scratch);
    const random = new SeededRandom(SEED);
    makeKillProject(folder);
    const recordings = recordingsState(folder);
    const pids = new Set<number>();
    const { whole, ...times } = await wholeReports(main, { folder, args });
    for (const signal of ['SIGKILL', 'SIGTERM', 'SIGINT'] as const) {
      const runs = Math.round((signal === 'SIGKILL' ? RUNS : RUNS / 5) * share);
      const tallies = new Map<string, Tally>();
      let longest_ms = 0;
      for (let i = 0; i < runs; i++) {
        const cold = i % COLD === 0;
        const moment = drawMoment(random, { ...times, cold, signal });
        const next_ms = await oneRun({ main, folder, args, moment, signal, cold, whole, tallies, pids });
        longest_ms = Math.max(longest_ms, next_ms);
        expect(recordingsState(folder), 'the recordings are as they were').toBe(recordings);
      }
      process.stdout.write(tableOf(tallies, `${runs} runs: ${name}, ended by ${signal}, seed ${SEED}`));
      process.stdout.write(`Longest run after one that was ended: ${(longest_ms / 1000).toFixed(1)} s\n\n`);
    }
    setVariant(folder, standing(folder, whole) === 'one' ? 'two' : 'one');
    await endedRun(main, [...args, folder], { folder, moment: null });
    expect([...pids].flatMap(browserFolders), 'no browser has left anything').toEqual([]);
    const { badContentCount } = await cacache.verify(join(folder, '.decaybook', 'kept'));
    expect(badContentCount, 'nothing that is kept is damaged').toBe(0);
  });
});

/** The built program, so that a build meanwhile changes nothing. */
function copyOfProgram(scratch: string): string {
  const root = join(scratch, 'program');
  for (const name of ['dist', 'templates', 'package.json']) {
    cpSync(join(packageFolder(), name), join(root, name), { recursive: true });
  }
  symlinkSync(join(packageFolder(), 'node_modules'), join(root, 'node_modules'));
  return join(root, 'dist', 'pipeline', 'main.js');
}

function drawMoment(
  random: SeededRandom,
  {
    run_ms,
    cold_ms,
    writing_ms,
    cold,
    signal,
  }: Record<'run_ms' | 'cold_ms' | 'writing_ms', number> & {
    cold: boolean;
    signal: NodeJS.Signals;
  },
): KillMoment {
  const kind = random.uniform();
  if (kind < 0.5) return { at: 'time', ms: random.between(0, 1.15 * (cold ? cold_ms : run_ms)) };
  if (kind < 0.85 || signal !== 'SIGKILL') return { at: 'writing', ms: random.between(0, 1.2 * writing_ms) };
  return RENAMES[Math.floor(random.uniform() * RENAMES.length)]!;
}

interface OneRun {
  main: string;
  folder: string;
  args: readonly string[];
  moment: KillMoment;
  signal: NodeJS.Signals;
  cold: boolean;
  whole: Record<Variant, string>;
  tallies: Map<string, Tally>;
  /** Takes the process. */
  pids: Set<number>;
}

/** Ends one run, looks at what stands, and lets the next run end by itself. Returns how long that took, in milliseconds. */
async function oneRun({ main, folder, args, moment, signal, cold, whole, tallies, pids }: OneRun): Promise<number> {
  const before = standing(folder, whole) as Variant;
  const wanted = before === 'one' ? 'two' : 'one';
  setVariant(folder, wanted);
  if (cold) forgetKept(folder);
  const run = await endedRun(main, [...args, folder], { folder, moment, signal });
  pids.add(run.pid);
  const after = standing(folder, whole);
  const phase = phaseOf(run, { folder, after, wanted, signal });
  const tally = tallies.get(phase) ?? { phase, earlier: 0, made: 0, put_back: 0 };
  tallies.set(phase, tally);
  expect(after, `after ${JSON.stringify(moment)}: ${run.err}`).not.toBe('torn');
  expect(await browserLeft(run.pid), 'no browser is left').toBe(false);
  if (signal !== 'SIGKILL' && run.status !== 0) {
    expect(run, 'it ends by the signal').toMatchObject({ status: null, signal });
    if (/stopped/.test(run.err)) expect(leftovers(folder), run.err).toEqual([]);
  }
  if (after === 'none') {
    expect(signal, 'only what nobody can answer leaves the place of the report empty').toBe('SIGKILL');
    const check = await endedRun(main, ['check', folder], { folder, moment: null });
    expect(check.out).toContain('the earlier one was put back');
    expect(standing(folder, whole)).toBe(before);
    tally.put_back++;
  } else if (after === before) tally.earlier++;
  else tally.made++;
  const next = await endedRun(main, [...args, folder], { folder, moment: null });
  expect(next, 'the next run is done').toMatchObject({ status: 0 });
  expect(standing(folder, whole)).toBe(wanted);
  expect(leftovers(folder), 'nothing piles up').toEqual([]);
  return next.lasted_ms;
}

/** How far a run had come, by what it left. */
function phaseOf(
  run: EndedRun,
  { folder, after, wanted, signal }: { folder: string; after: string; wanted: Variant; signal: NodeJS.Signals },
): string {
  const left = leftovers(folder);
  if (run.status === 0) return 'ended by itself before';
  if (after === 'none') return 'between the two renames';
  if (left.includes('report-new')) return 'while it wrote aside';
  if (left.includes('report-old') || left.includes('report-gone')) return 'while it removed the earlier one';
  if (after === wanted) return 'after the swap';
  return signal === 'SIGKILL' ? 'before it wrote' : 'before the swap';
}

function tableOf(tallies: ReadonlyMap<string, Tally>, title: string): string {
  const rows = [...tallies.values()].map(({ phase, earlier, made, put_back }) => {
    return `| ${phase} | ${earlier} | ${made} | ${put_back} |`;
  });
  return `\n${title}\n\n| ended | earlier report | new report | put back by the next command |\n|---|---|---|---|\n${rows.join('\n')}\n\n`;
}
