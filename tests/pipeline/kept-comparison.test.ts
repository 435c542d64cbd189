import { cpSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type AnalysedProject, analyseProject } from '../../pipeline/analyse-project.ts';
import { compareProject } from '../../pipeline/compare.ts';
import { holdWrites } from '../../pipeline/held-writes.ts';
import { keepFolder } from '../../pipeline/keep.ts';
import { comparisonOf } from '../../pipeline/kept-comparison.ts';
import { type ReadProject, readProject } from '../../pipeline/read.ts';
import type { Project } from '../../src/project/project.ts';
import { BAND_WIDTHS } from '../../src/room/reading.ts';
import { writeSmallProject } from './small-project.ts';

const scratch = mkdtempSync(join(tmpdir(), 'decaybook-compared-'));
const folder = join(scratch, 'project');
let read: ReadProject & { project: Project };
let analysed: AnalysedProject;

beforeAll(async () => {
  writeSmallProject(folder);
  read = (await readProject(folder)) as typeof read;
  analysed = await analyseProject(read);
});

afterAll(() => rmSync(scratch, { recursive: true, force: true }));

/** The project with some of what its file says said otherwise. */
const edited = (edit: (project: Project) => unknown): Project => {
  const project = structuredClone(read.project);
  edit(project);
  return project;
};

describe('comparisonOf', () => {
  it('gives what a comparison gives, to the last bit, at first and from what is kept', async () => {
    for (const width of BAND_WIDTHS) {
      const direct = compareProject(read.project, analysed.takes, analysed.traces, { widths: [width] });
      const first = await comparisonOf(read, analysed, width);
      const second = await comparisonOf(read, analysed, width);
      expect([first.ran, second.ran]).toEqual([true, false]);
      expect(first.value).toStrictEqual(direct);
      expect(second.value).toStrictEqual(direct);
    }
  });

  it('compares again where anything is stated otherwise that a comparison looks at, and only there', async () => {
    const ran = async (edit: (project: Project) => unknown) => {
      const project = edited(edit);
      const { value, ran } = await comparisonOf({ folder, project }, analysed, 'octave');
      const direct = compareProject(project, analysed.takes, analysed.traces, { widths: ['octave'] });
      expect(value).toStrictEqual(direct);
      return ran;
    };
    expect(await ran((it) => Object.assign(it, { title: 'Another' }))).toBe(false);
    expect(await ran((it) => Object.assign(it.room, { length: 9 }))).toBe(false);
    expect(await ran((it) => Object.assign(it.stages[0]!, { title: 'As found' }))).toBe(false);
    expect(await ran((it) => Object.assign(it.stages[1]!, { temperature: 12 }))).toBe(true);
    expect(await ran((it) => Object.assign(it.room, { humidity: 30 }))).toBe(true);
    expect(
      await ran((it) => Object.assign(it.stages[0]!, { source: { description: 'a balloon', kind: 'balloon' } })),
    ).toBe(true);
    expect(await ran((it) => Object.assign(it.microphone, { pattern: 'figure-of-eight' }))).toBe(true);
    expect(await ran((it) => Object.assign(it, { compare: [['treated', 'bare']] }))).toBe(true);
    expect(await ran((it) => it.stages.reverse())).toBe(true);
  });

  it('compares again where a take is another, lies elsewhere, is read otherwise or is set aside', async () => {
    const madeFrom = async (edit: (it: ReadProject & { project: Project }) => unknown) => {
      const changed = structuredClone(read);
      edit(changed);
      return (await analyseProject(changed)).made_from;
    };
    expect(await madeFrom(() => undefined)).toEqual(analysed.made_from);
    const edits: ((it: ReadProject & { project: Project }) => unknown)[] = [
      ({ takes }) => Object.assign(takes[0]!, { sha256: 'f'.repeat(64) }),
      ({ takes }) => Object.assign(takes[0]!, { position: 'B' }),
      ({ takes }) => Object.assign(takes[0]!, { stage: 'treated' }),
      ({ takes }) => Object.assign(takes[0]!, { kind: 'impulse' }),
      ({ takes }) => Object.assign(takes[0]!, { set_aside: 'a door slammed' }),
      ({ takes }) => Object.assign(takes[0]!, { file: 'recordings/bare/A/other.wav' }),
      ({ takes }) => takes.pop(),
      ({ project }) => Object.assign(project.stages[0]!, { source: { description: 'a balloon', kind: 'balloon' } }),
      ({ project }) => Object.assign(project.recorder, { fixed_gain: true }),
    ];
    const seen = [analysed.made_from];
    for (const edit of edits) {
      const now = await madeFrom(edit);
      for (const before of seen) expect(now, String(edit)).not.toEqual(before);
      seen.push(now);
    }
  });

  it('is written when writes are no longer held back, and not before', async () => {
    const copy = join(scratch, 'copy');
    cpSync(folder, copy, { recursive: true });
    const here = { ...read, folder: copy };
    await comparisonOf(here, analysed, 'octave');
    const held = holdWrites(keepFolder(copy));
    const other = { ...here, project: edited((it) => Object.assign(it.room, { temperature: 3 })) };
    expect((await comparisonOf(other, analysed, 'octave')).ran).toBe(true);
    expect((await comparisonOf(other, analysed, 'octave')).ran).toBe(true);
    await held.settled();
    expect((await comparisonOf(other, analysed, 'octave')).ran).toBe(false);
  });
});
