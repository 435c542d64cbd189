import { spawnSync } from 'node:child_process';
import { appendFileSync, mkdtempSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { availableParallelism, cpus, tmpdir } from 'node:os';
import { join } from 'node:path';
import { test } from 'vitest';
import { packageFolder } from '../../pipeline/resources.ts';
import { makeSpeedProject } from './speed-project.ts';

/**
 * How long the tool takes, and how much memory, on a project of 48 takes of 10 s at 48 kHz with three pops each, read in 8 octaves
 * and 24 one-third octaves; and beside it a scipy script that does the job of the analysis. Seconds depend on the machine and on
 * what else it does; the ratios of one run hardly do. DECAYBOOK_BENCH_TAKES gives another number of takes, DECAYBOOK_BENCH_TABLE a
 * file for the table.
 */
const TAKES = Number(process.env.DECAYBOOK_BENCH_TAKES ?? 48);
const MAIN = join(packageFolder(), 'dist', 'pipeline', 'main.js');
const SCIPY = join(packageFolder(), 'tests', 'reference', 'scipy-speed.py');
const PYTHON = process.env.DECAYBOOK_BENCH_PYTHON ?? 'python3';

/** Every process tells at its end what it used. */
const TELL = `data:text/javascript,${encodeURIComponent(
  "import { isMainThread } from 'node:worker_threads'; if (isMainThread) process.on('exit', () => { const u = process.resourceUsage(); process.stderr.write('\\nUSED ' + JSON.stringify([u.userCPUTime + u.systemCPUTime, u.maxRSS]) + '\\n'); });",
)}`;

interface Used {
  clock_s: number;
  cpu_s: number;
  peak_mb: number;
}

function run(...args: string[]): Used {
  const begun = performance.now();
  const { stderr, status } = spawnSync(process.execPath, ['--import', TELL, MAIN, ...args], { encoding: 'utf8' });
  const clock_s = (performance.now() - begun) / 1000;
  const used = /USED (.*)/.exec(stderr)?.[1];
  if (status !== 0 || used === undefined) throw new Error(`${args.join(' ')} ended with ${status}: ${stderr}`);
  const [cpu_us, rss_kb] = JSON.parse(used) as [number, number];
  return { clock_s, cpu_s: cpu_us / 1e6, peak_mb: rss_kb / 1024 };
}

function scipyRun(folder: string, ...args: string[]): { clock_s: number; cpu_s: number } | null {
  const env = { ...process.env, OMP_NUM_THREADS: '1', OPENBLAS_NUM_THREADS: '1' };
  const { stdout, status } = spawnSync(PYTHON, [SCIPY, folder, ...args], { encoding: 'utf8', env });
  return status === 0 ? (JSON.parse(stdout) as { clock_s: number; cpu_s: number }) : null;
}

/** The analysis alone, all bands: what the scipy script does, and the faults of every take besides. */
function analysisRun(folder: string, ...jobs: string[]): { clock_s: number; cpu_s: number } {
  const script = join(packageFolder(), 'tests', 'bench', 'analyse-once.js');
  const { stdout, stderr, status } = spawnSync(process.execPath, [script, folder, ...jobs], { encoding: 'utf8' });
  if (status !== 0) throw new Error(`the analysis ended with ${status}: ${stderr}`);
  return JSON.parse(stdout) as { clock_s: number; cpu_s: number };
}

const row = (cells: readonly (string | number)[]) =>
  `| ${cells.map((cell) => (typeof cell === 'number' ? cell.toFixed(2) : cell)).join(' | ')} |`;
const used = (name: string, { clock_s, cpu_s, peak_mb }: Used) => row([name, clock_s, cpu_s, peak_mb.toFixed(0)]);

test('speed', () => {
  const folder = mkdtempSync(join(tmpdir(), 'decaybook-speed-'));
  try {
    const files = makeSpeedProject(folder, TAKES);
    const forget = () => {
      for (const name of ['.decaybook', 'report']) rmSync(join(folder, name), { recursive: true, force: true });
    };
    const startUp = run('--version');
    const scipy = scipyRun(folder);
    const scipyNoFit = scipyRun(folder, '--no-fit');
    const analysis = analysisRun(folder);
    const oneThread = analysisRun(folder, '1');
    forget();
    const check = run('check', folder);
    const checkWarm = run('check', folder);
    forget();
    const noPdf = run('report', '--no-pdf', folder);
    forget();
    const cold = run('report', folder);
    const unchanged = run('report', folder);
    const yaml = join(folder, 'project.yaml');
    writeFileSync(yaml, readFileSync(yaml, 'utf8').replace('A room of many takes', 'The room of many takes'));
    const title = run('report', '--no-pdf', folder);
    renameSync(join(folder, files.at(-1)!), join(folder, 'aside'));
    run('report', folder);
    renameSync(join(folder, 'aside'), join(folder, files.at(-1)!));
    appendFileSync(join(folder, files.at(-1)!), Buffer.alloc(64));
    const newTake = run('report', '--no-pdf', folder);
    const lines = [
      `${TAKES} takes of 10 s, Node ${process.version}, ${availableParallelism()} x ${cpus()[0]?.model ?? '?'}`,
      '',
      row(['', 'clock, s', 'processor, s', 'peak memory, MB']),
      row(['---', '---:', '---:', '---:']),
      used('start-up (`--version`)', startUp),
      row(['analysis in all bands', analysis.clock_s, analysis.cpu_s, '']),
      row(['analysis in all bands, one thread', oneThread.clock_s, oneThread.cpu_s, '']),
      used('`check`, cold: octaves', check),
      used('`check`, warm', checkWarm),
      used('`report`, cold', cold),
      used('`report --no-pdf`, cold', noPdf),
      used('`report`, unchanged', unchanged),
      used('`report --no-pdf`, title edited', title),
      used('`report --no-pdf`, one new take', newTake),
      ...(scipy ? [row(['scipy script', scipy.clock_s, scipy.cpu_s, ''])] : []),
      ...(scipyNoFit
        ? [row(['scipy script without the fit of the full range', scipyNoFit.clock_s, scipyNoFit.cpu_s, ''])]
        : []),
      '',
      ...(scipy
        ? [
            `Analysis against the scipy script: ${(scipy.clock_s / analysis.clock_s).toFixed(1)} times as fast by the clock, ${(scipy.cpu_s / oneThread.cpu_s).toFixed(1)} times by processor time on one thread.`,
          ]
        : ['scipy is not installed: nothing to compare with.']),
      `The PDF adds ${(cold.clock_s - noPdf.clock_s).toFixed(1)} s to a cold report.`,
      '',
    ];
    process.stdout.write(`\n${lines.join('\n')}\n`);
    if (process.env.DECAYBOOK_BENCH_TABLE) writeFileSync(process.env.DECAYBOOK_BENCH_TABLE, `${lines.join('\n')}\n`);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
});
