import { describe, expect, test } from 'vitest';
import type { Cell, Place } from '../../src/statistics/cells.ts';
import {
  judgedRepeatability,
  noiseVariance,
  poolRepeatability,
  repeatVariance,
} from '../../src/statistics/repeatability.ts';

const place = (given: Partial<Place>): Place => ({
  position: 'A',
  responses: 3,
  mean: 0.5,
  work_mean: Math.log(0.5),
  floor: 0.01,
  noise_share: 0,
  within: 0,
  ...given,
});
const cellOf = (...places: Place[]): Cell => ({
  stage: 'bare',
  quantity: 'tfull_s',
  width: 'octave',
  centre_hz: 1000,
  places,
  looked_at: 6,
  responses: 6,
  stage_positions: ['A', 'B'],
  refusals: new Map(),
  flags: new Map(),
  two_slopes: 0,
});

describe('the spread of repeats', () => {
  test('is the pooled variance: sums of squares over their degrees of freedom, in floors', () => {
    // Textbook pooling: (0.02 + 0.01) / 0.01 over 2 + 4 degrees of freedom is 0.5.
    const pooled = poolRepeatability([
      cellOf(place({ within: 0.02 })),
      cellOf(place({ position: 'B', responses: 5, within: 0.01 })),
    ]);
    expect(pooled.dof).toBe(6);
    expect(pooled.excess).toBeCloseTo(0.5, 12);
    expect(pooled.own(0)).toBe(0);
  });

  test('of one response each nothing is known', () => {
    expect(poolRepeatability([cellOf(place({ responses: 1 }))])).toMatchObject({ dof: 0, excess: 0 });
  });

  test('as wide as the noise asks for is all noise', () => {
    const noisy = place({ noise_share: 0.2, within: 0.2 * 2 * 0.01 });
    const pooled = poolRepeatability([cellOf(noisy)]);
    expect(pooled.excess).toBeCloseTo(0, 12);
    expect(pooled.own(0.2)).toBeCloseTo(0.2, 12);
    expect(noiseVariance(noisy)).toBeCloseTo((0.2 * 0.01) / 3, 12);
    expect(repeatVariance(noisy, pooled)).toBeCloseTo(0, 12);
  });

  test('narrower than the noise asks for takes nothing away from it', () => {
    const pooled = poolRepeatability([cellOf(place({ noise_share: 0.2, within: 0 }))]);
    expect([pooled.excess, pooled.own(0.2)]).toEqual([0, 0.2]);
  });

  test('wider: up to half of the floor is the clap’s own, the rest is on top, and together they are what was seen', () => {
    // Mean share of noise 0.2, so 0.3 of the floor may be the clap's; seen 0.7 of a floor beyond the noise.
    const [quiet, loud] = [
      place({ noise_share: 0.1, within: 0.8 * 2 * 0.01 }),
      place({ noise_share: 0.3, within: 1 * 2 * 0.01 }),
    ];
    const pooled = poolRepeatability([cellOf(quiet, loud)]);
    expect(pooled.own(0.1)).toBeCloseTo(0.4, 12);
    expect(pooled.excess).toBeCloseTo(0.4, 12);
    for (const one of [quiet, loud]) {
      const seen = (one.within / one.floor / 2) * one.floor;
      expect(noiseVariance(one) + repeatVariance(one, pooled)).toBeCloseTo(seen / 3, 12);
    }
  });

  test('noise of more than half the floor leaves nothing for the clap', () => {
    const pooled = poolRepeatability([cellOf(place({ noise_share: 0.8, within: 1.2 * 2 * 0.01 }))]);
    expect(pooled.own(0.8)).toBeCloseTo(0.8, 12);
    expect(pooled.excess).toBeCloseTo(0.4, 12);
  });
});

test('a level without repeats is trusted to 2 dB a clap, averaged over places; other quantities need no such line', () => {
  const unseen = { own: () => 0, excess: 0, dof: 0 };
  const [judged] = judgedRepeatability('late_level_db', unseen, 4);
  expect(judged!.standard_uncertainty).toBe(1);
  // A relative doubt of 0.25 is worth 8 degrees of freedom (JCGM 100:2008, G.4.2).
  expect(judged!.dof).toBeCloseTo(8, 12);
  expect(judgedRepeatability('late_level_db', { ...unseen, dof: 3 }, 4)).toEqual([]);
  expect(judgedRepeatability('c50_db', unseen, 4)).toEqual([]);
});
