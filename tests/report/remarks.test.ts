import { describe, expect, it } from 'vitest';
import { projectSchema } from '../../src/project/project.ts';
import { type Remark, remarksOn } from '../../src/report/remarks.ts';
import type { TakeResult } from '../../src/report/results.ts';
import { type Mishap, projectReadings } from '../bench/project-scene.ts';
import { takesOf } from '../bench/project-takes.ts';

const PROJECT = projectSchema.parse({
  decaybook: 1,
  title: 'Room',
  date: '2026-05-12',
  stages: [{ id: 'bare' }, { id: 'treated', treatments: [{ name: 'felt' }] }],
});

/** Takes of a synthesised project: two stages, two positions, three files of two balloons each. */
function takes(name: string, mishap: Mishap, { gain_db = 0 } = {}): TakeResult[] {
  const readings = projectReadings(name, { positions: 2, files: 3, claps: 2, source: 'balloon' }, mishap);
  return takesOf(
    readings.map((reading) => {
      return reading.stage === 'treated' ? { ...reading, direct_db: reading.direct_db + gain_db } : reading;
    }),
  );
}

const lines = (remarks: Remark[]): string[] =>
  remarks.map(({ code, severity, files }) => `${code} ${severity} ${files}`);

describe('remarksOn(project, takes)', () => {
  it('says nothing of a clean project', () => {
    expect(remarksOn(PROJECT, takes('clean', 'none'))).toEqual([]);
  });

  it('names a take of another stage in the wrong folder, and where it belongs', () => {
    const remarks = remarksOn(PROJECT, takes('stage', 'other-stage'));
    expect(lines(remarks)).toEqual(['wrong-folder warn recordings/bare/P0/03.wav']);
    expect(remarks[0]!.message).toMatch(
      /^03\.wav disagrees with the others of "bare", position P0 beyond chance \(decay -\d+(\.\d)? %, C50 \+\d+\.\d dB on the mean over the octaves\), and agrees with those of "treated", position P0: if it lies in the wrong folder, move it; else record it again$/,
    );
  });

  it('names a take through an open door, keeps it, and says how to set it aside', () => {
    const all = takes('door', 'longer-decay');
    const remarks = remarksOn(PROJECT, all);
    expect(lines(remarks)).toEqual(['outlier warn recordings/bare/P0/03.wav']);
    expect(remarks[0]!.message).toContain(
      'It is kept; record it again, or list it under set_aside in the project file',
    );
    expect(all.every(({ used }) => used)).toBe(true);
  });

  it('tells that the gain was changed between two stages', () => {
    const [remark, ...more] = remarksOn(PROJECT, takes('gain', 'none', { gain_db: 9 }));
    expect(more).toEqual([]);
    expect(remark).toMatchObject({ code: 'gain-changed', severity: 'note' });
    expect(remark!.message).toMatch(/noise of the recordings rose by 9 dB in every octave alike/);
  });

  it('tells that the folders of two stages were mixed up, since absorption cannot make a room ring longer', () => {
    const other = { bare: 'treated', treated: 'bare' } as Record<string, string>;
    const swapped = takes('swap', 'none').map((take) => ({ ...take, stage: other[take.stage]! }));
    const remarks = remarksOn(PROJECT, swapped);
    expect(remarks.map(({ code }) => code)).toEqual(['stages-swapped']);
    expect(remarks[0]!.message).toMatch(/^the room rings \d+ % longer in "treated" than in "bare"/);
  });
});
