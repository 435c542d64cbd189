import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { availableParallelism, cpus, tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { packageFolder } from '../../pipeline/resources.ts';
import { makeSpoiledTakes } from './speed-faults.ts';
import { makeSpeedProject } from './speed-project.ts';
import { type Analysed, expectSameJob, faultsFound, scipyRun, scipyThere } from './speed-scipy.ts';

/**
 * How long the tool takes, and how much memory, on a project of 48 takes of 10 s at 48 kHz with three pops each, read in 8 octaves
 * and 24 one-third octaves; beside it a scipy script that does the job of the analysis, and the browser that prints the PDF, alone. Seconds
 * depend on the machine and on what else it does; the ratios of one run hardly do. DECAYBOOK_BENCH_TAKES gives another number of takes,
 * DECAYBOOK_BENCH_ROUNDS how often what is compared is run in turn, DECAYBOOK_BENCH_TABLE a file for the table.
 */
const TAKES = Number(process.env.DECAYBOOK_BENCH_TAKES ?? 48);
const ROUNDS = Number(process.env.DECAYBOOK_BENCH_ROUNDS ?? 3);
const MAIN = join(packageFolder(), 'dist', 'pipeline', 'main.js');
/** Of the takes that something is wrong with, so many must be found by the script for it to have looked. */
const FAULTS_FOUND_LEAST = 0.9;
const ACCUSED_MOST = 0.1;

/** Every process tells at its end what it used. */
const TELL = `data:text/javascript,${encodeURIComponent(
  "import { isMainThread } from 'node:worker_threads'; if (isMainThread) process.on('exit', () => { const u = process.resourceUsage(); process.stderr.write('\\nUSED ' + JSON.stringify([u.userCPUTime + u.systemCPUTime, u.maxRSS]) + '\\n'); });",
)}`;
/** The shell tells what the process and all it started used: the browser too, where it can tell. */
const TIMED = ['-c', '"$@"; code=$?; times >&2; exit $code', 'timed'];

interface Used {
  clock_s: number;
  /** Of the process itself. */
  cpu_s: number;
  /** Of the processes it started: the browser. */
  children_s?: number;
  peak_mb?: number;
  stdout?: string;
}

function runNode(...args: string[]): Used {
  const begun = performance.now();
  const line = [...TIMED, process.execPath, '--import', TELL, ...args];
  const { stdout, stderr, status } = spawnSync('sh', line, { encoding: 'utf8' });
  const clock_s = (performance.now() - begun) / 1000;
  const used = /USED (.*)/.exec(stderr)?.[1];
  if (status !== 0 || used === undefined) throw new Error(`${args.join(' ')} ended with ${status}: ${stderr}`);
  const [cpu_us, rss_kb] = JSON.parse(used) as [number, number];
  const cpu_s = cpu_us / 1e6;
  const all_s = [...(stderr.trim().split('\n').at(-1) ?? '').matchAll(/(\d+)m([\d.]+)s/g)].map(
    ([, minutes, seconds]) => 60 * Number(minutes) + Number(seconds),
  );
  return {
    clock_s,
    cpu_s,
    children_s: Math.max(0, all_s.reduce((sum, part) => sum + part, 0) - cpu_s),
    peak_mb: rss_kb / 1024,
    stdout,
  };
}

const run = (...args: string[]) => runNode(MAIN, ...args);
const script = (name: string) => join(packageFolder(), 'tests', 'bench', name);

/** The analysis alone, all bands, with nothing kept: what the scipy script does. */
function analysisRun(folder: string, ...jobs: string[]): Analysed {
  forget(folder);
  const { stdout, stderr, status } = spawnSync(process.execPath, [script('analyse-once.js'), folder, ...jobs], {
    encoding: 'utf8',
  });
  if (status !== 0) throw new Error(`the analysis ended with ${status}: ${stderr}`);
  return JSON.parse(stdout);
}

/** The browser alone, on the very page that a report prints: started, the page loaded and printed, ended. */
function browserRun(page: string): Used {
  const { stdout, cpu_s, children_s } = runNode(script('print-once.js'), page);
  return { ...(JSON.parse(stdout!) as { clock_s: number }), cpu_s, children_s };
}

function watchRun(folder: string, take: string, ...flags: string[]): Used {
  return JSON.parse(runNode(script('watch-once.js'), folder, take, ...flags).stdout!);
}

const row = (cells: readonly (string | number | undefined)[]) =>
  `| ${cells.map((cell) => (typeof cell === 'number' ? cell.toFixed(2) : (cell ?? ''))).join(' | ')} |`;
const used = (name: string, { clock_s, cpu_s, children_s, peak_mb }: Used) =>
  row([name, clock_s, cpu_s, children_s !== undefined && children_s > 0.1 ? children_s : '', peak_mb?.toFixed(0)]);

function middle<Run extends Used>(runs: readonly Run[], by: 'clock_s' | 'cpu_s' = 'clock_s'): Run {
  return [...runs].sort((a, b) => a[by] - b[by])[runs.length >> 1]!;
}

/** Runs in turn, so that whatever else the machine does befalls all of them alike. */
function inTurn<Runs extends Record<string, () => Used>>(
  runs: Runs,
): { [Name in keyof Runs]: ReturnType<Runs[Name]>[] } {
  const all = Object.fromEntries(Object.keys(runs).map((name) => [name, [] as Used[]]));
  for (let round = 0; round < ROUNDS; round++) for (const [name, one] of Object.entries(runs)) all[name]!.push(one());
  return all as { [Name in keyof Runs]: ReturnType<Runs[Name]>[] };
}

/** A run with something done before it that is not timed. */
const after = (first: () => void, one: () => Used) => () => {
  first();
  return one();
};

interface Against {
  rows: string[];
  lines: string[];
}

/**
 * Moves a project's report and what is kept of it out of the way. Not removed: file systems without a journal (ext4 on many virtual machines)
 * pass over the numbers of what was removed in the last minutes, one by one, for every file that is made, and the runs after a removal took
 * up to half a second more.
 */
function forget(folder: string): void {
  const aside = asideOf(folder);
  mkdirSync(aside, { recursive: true });
  for (const name of ['.decaybook', 'report']) {
    if (existsSync(join(folder, name))) renameSync(join(folder, name), join(mkdtempSync(join(aside, 'run-')), name));
  }
}

const asideOf = (folder: string) => `${folder}-aside`;

/** Analysis and scipy script in turn; fails unless both did the same job. */
function againstScipy(folder: string): Against {
  const runs = inTurn({
    analysis: () => analysisRun(folder),
    one: () => analysisRun(folder, '1'),
    scipy: () => scipyRun(folder),
    decays: () => scipyRun(folder, '--decays-only'),
  });
  const [analysis, one] = [middle(runs.analysis), middle(runs.one, 'cpu_s')];
  const [scipy, decays] = [middle(runs.scipy, 'cpu_s'), middle(runs.decays, 'cpu_s')];
  const rows = [
    used('analysis in all bands', analysis),
    used('analysis in all bands, one thread', one),
    used('scipy script, the same job, all bands of a take at once', scipy),
  ];
  expectSameJob(one, scipy);
  const inTurns = scipyRun(folder, '--band-by-band');
  expectSameJob(one, inTurns);
  rows.push(
    used('scipy script, the same job, a band at a time', inTurns),
    used('scipy script, the decays alone', decays),
    used(
      'scipy script, the decays alone without the fit of the full range',
      scipyRun(folder, '--decays-only', '--no-fit'),
    ),
  );
  const spoiled = makeSpoiledTakes(join(folder, 'spoiled'));
  const { found, accused } = faultsFound(spoiled, scipyRun(join(folder, 'spoiled')));
  rmSync(join(folder, 'spoiled'), { recursive: true });
  const half = spoiled.length / 2;
  expect(found / half).toBeGreaterThanOrEqual(FAULTS_FOUND_LEAST);
  expect(accused / half).toBeLessThanOrEqual(ACCUSED_MOST);
  const ratio = (what: string, by: Used) =>
    `Analysis against the scipy script, ${what}: ${(by.cpu_s / one.cpu_s).toFixed(2)} times as fast by processor time on one thread, ${(by.clock_s / analysis.clock_s).toFixed(2)} times by the clock on all.`;
  return {
    rows,
    lines: [
      ratio('the same job, all bands of a take at once', scipy),
      ratio('the same job, a band at a time', inTurns),
      ratio('the decays alone', decays),
      `Both read ${one.responses} claps: ${one.values} and ${scipy.values} values, ${one.second_slopes} and ${scipy.second_slopes} second slopes, ${one.reflections} and ${scipy.reflections} reflections, ${one.speech_indices} and ${scipy.speech_indices} speech indices; the script finds ${found} of ${half} faults put into takes, and accuses ${accused} of ${half} clean ones.`,
    ],
  };
}

test('speed', () => {
  const folder = mkdtempSync(join(tmpdir(), 'decaybook-speed-'));
  const page = `${folder}.html`;
  try {
    const files = makeSpeedProject(folder, TAKES);
    const last = files.at(-1)!;
    const anew = () => forget(folder);
    /** Everything reported but the last take, which then comes for the first time: what it changes was never drawn before. */
    const bringNewTake = () => {
      anew();
      renameSync(join(folder, last), join(folder, 'aside'));
      run('report', folder);
      renameSync(join(folder, 'aside'), join(folder, last));
    };
    const startUp = run('--version');
    const hasScipy = scipyThere();
    const scipy: Against = hasScipy
      ? againstScipy(folder)
      : {
          rows: [
            used('analysis in all bands', analysisRun(folder)),
            used('analysis in all bands, one thread', analysisRun(folder, '1')),
          ],
          lines: ['scipy is not installed: nothing to compare with.'],
        };
    anew();
    const check = run('check', folder);
    const checkWarm = run('check', folder);
    anew();
    runNode(script('print-once.js'), 'capture', folder, page);
    const runs = inTurn({
      browser: () => browserRun(page),
      noPdf: after(anew, () => run('report', '--no-pdf', folder)),
      cold: after(anew, () => run('report', folder)),
      newTakeNoPdf: after(bringNewTake, () => run('report', '--no-pdf', folder)),
      newTake: after(bringNewTake, () => run('report', folder)),
      watchNoPdf: after(anew, () => watchRun(folder, last, '--no-pdf')),
      watch: after(anew, () => watchRun(folder, last)),
    });
    run('report', folder);
    const unchanged = run('report', folder);
    const yaml = join(folder, 'project.yaml');
    writeFileSync(yaml, readFileSync(yaml, 'utf8').replace('A room of many takes', 'The room of many takes'));
    const title = run('report', '--no-pdf', folder);
    const browser = middle(runs.browser);
    const [cold, noPdf] = [middle(runs.cold), middle(runs.noPdf)];
    const [newTake, newTakeNoPdf] = [middle(runs.newTake), middle(runs.newTakeNoPdf)];
    const [watch, watchNoPdf] = [middle(runs.watch), middle(runs.watchNoPdf)];
    const without = (name: string, whole: Used) =>
      row([`${name}, less the browser's own time`, whole.clock_s - browser.clock_s, '', '', '']);
    const lines = [
      `${TAKES} takes of 10 s, Node ${process.version}, ${availableParallelism()} x ${cpus()[0]?.model ?? '?'}; middle of ${ROUNDS} runs in turn where compared`,
      '',
      row(['', 'clock, s', 'processor, s', 'browser processor, s', 'peak memory, MB']),
      row(['---', '---:', '---:', '---:', '---:']),
      used('start-up (`--version`)', startUp),
      ...scipy.rows,
      used('`check`, cold: octaves', check),
      used('`check`, warm', checkWarm),
      used('the browser alone: started, page loaded, printed, ended', browser),
      used('`report`, cold', cold),
      without('`report`, cold', cold),
      used('`report --no-pdf`, cold', noPdf),
      used('`report`, unchanged', unchanged),
      used('`report --no-pdf`, title edited', title),
      used('`report`, one new take', newTake),
      without('`report`, one new take', newTake),
      used('`report --no-pdf`, one new take', newTakeNoPdf),
      used('again in a warm process, one new take', watch),
      used('again in a warm process without PDF, one new take', watchNoPdf),
      '',
      ...scipy.lines,
      `The PDF adds ${(cold.clock_s - noPdf.clock_s).toFixed(2)} s to a cold report, ${(newTake.clock_s - newTakeNoPdf.clock_s).toFixed(2)} s to one with a new take; the browser alone takes ${browser.clock_s.toFixed(2)} s.`,
      '',
    ];
    process.stdout.write(`\n${lines.join('\n')}\n`);
    if (process.env.DECAYBOOK_BENCH_TABLE) writeFileSync(process.env.DECAYBOOK_BENCH_TABLE, `${lines.join('\n')}\n`);
  } finally {
    for (const made of [folder, asideOf(folder)]) rmSync(made, { recursive: true, force: true });
    rmSync(page, { force: true });
  }
});
