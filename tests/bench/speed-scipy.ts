import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { expect } from 'vitest';
import { packageFolder } from '../../pipeline/resources.ts';
import type { SpoiledTake } from './speed-faults.ts';

const SCIPY = join(packageFolder(), 'tests', 'reference', 'scipy-speed.py');
const PYTHON = process.env.DECAYBOOK_BENCH_PYTHON ?? 'python3';

/** What an analysis used and gave, ours and the script's in the same words. */
export interface Analysed {
  clock_s: number;
  cpu_s: number;
  responses: number;
  values: number;
  /** Of each take that has any, by file. */
  faults: Record<string, string[]>;
  second_slopes: number;
  reflections: number;
  speech_indices: number;
  medians: Record<string, { count: number; median: number }>;
}

/** Whether Python has scipy. */
export function scipyThere(): boolean {
  return spawnSync(PYTHON, ['-c', 'import scipy']).status === 0;
}

/** The script on a folder. */
export function scipyRun(folder: string, ...args: string[]): Analysed & { second_slopes_tested: number } {
  const env = { ...process.env, OMP_NUM_THREADS: '1', OPENBLAS_NUM_THREADS: '1' };
  const { stdout, stderr, status } = spawnSync(PYTHON, [SCIPY, folder, ...args], { encoding: 'utf8', env });
  if (status !== 0) throw new Error(`the scipy script ended with ${status}: ${stderr}`);
  return JSON.parse(stdout);
}

/** How far counts and medians of the two may lie apart, relative: their filters differ a little, and limits cut where values lie dense. */
const APART = { values: 0.02, medians: 0.02, second_slopes: 0.2, reflections: 0.1 };
/** About zero, where shares mean nothing. */
const ABOUT_ZERO = 'curvature';

/** Fails unless the script did the same job: as many values, the same medians, as many second slopes and reflections. */
export function expectSameJob(ours: Analysed, scipy: Analysed & { second_slopes_tested: number }): void {
  expect(scipy.responses).toBe(ours.responses);
  expect(Object.keys(scipy.medians).sort()).toEqual(Object.keys(ours.medians).sort());
  for (const [name, { count, median }] of Object.entries(ours.medians)) {
    const theirs = scipy.medians[name]!;
    expect(Math.abs(theirs.count / count - 1), `how many ${name}`).toBeLessThan(APART.values);
    if (name !== ABOUT_ZERO) expect(Math.abs(theirs.median / median - 1), name).toBeLessThan(APART.medians);
  }
  expect(scipy.second_slopes_tested).toBeGreaterThanOrEqual(ours.medians.tfull!.count);
  for (const name of ['second_slopes', 'reflections', 'speech_indices'] as const) {
    const most = name === 'speech_indices' ? APART.values : APART[name];
    expect(Math.abs(scipy[name] - ours[name]), name).toBeLessThanOrEqual(Math.max(3, most * ours[name]));
  }
  const wrong = Object.keys({ ...ours.faults, ...scipy.faults }).filter(
    (file) => `${ours.faults[file]}` !== `${scipy.faults[file]}`,
  );
  expect(wrong.length, `faults differ: ${wrong}`).toBeLessThanOrEqual(2);
}

/** Of takes that something is wrong with, those in which the script finds it; of the clean ones, those it accuses of a fault. */
export function faultsFound(takes: readonly SpoiledTake[], { faults }: Analysed): { found: number; accused: number } {
  const accusing = (file: string) => (faults[file] ?? []).filter((code) => code !== 'no-bass' && code !== 'low-range');
  const found = takes.filter(({ file, injected }) => injected !== null && accusing(file).includes(injected)).length;
  return {
    found,
    accused: takes.filter(({ file, injected }) => injected === null && accusing(file).length > 0).length,
  };
}
