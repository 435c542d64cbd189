import { describe, expect, test } from 'vitest';
import type { Cell, Place } from '../../src/statistics/cells.ts';
import { type ChangeEvidence, changeOfMean, changeValue, verdictOf } from '../../src/statistics/change-value.ts';
import type { SpreadSeen } from '../../src/statistics/place-variance.ts';
import { stageValue } from '../../src/statistics/stage-value.ts';
import { cellOf, NOT_REPEATED, placeOf } from './given-cells.ts';

const NOTHING_SEEN: ChangeEvidence = {
  paired: [],
  single: [],
  repeatability: NOT_REPEATED,
  shared: null,
  temperature: 0,
  air_percent: null,
};

/** The places named, each with this value; the floor so low that a change of a few per cent is plain. */
function at(names: string, value: number, given: Partial<Place> = {}): Place[] {
  return [...names].map((position) =>
    placeOf({ position, mean: value, work_mean: Math.log(value), floor: 1e-4, ...given }),
  );
}

function change(before: Place[], after: Place[], evidence: Partial<ChangeEvidence> = {}, given: Partial<Cell> = {}) {
  return changeValue(cellOf(before, given), cellOf(after, { stage: 'after', ...given }), {
    ...NOTHING_SEEN,
    ...evidence,
  });
}

test('a change is claimed only where its interval leaves out zero; to touch it is not enough', () => {
  expect(verdictOf(0.1, 0.2)).toBe('increased');
  expect(verdictOf(-0.2, -0.1)).toBe('reduced');
  for (const [low, high] of [
    [-1, 1],
    [0, 1],
    [-1, 0],
  ] as const)
    expect(verdictOf(low, high)).toBe('no-detectable-change');
});

test('the interval of a time is that of its ratio, about the change, turned back on the time before', () => {
  const value = change(at('AB', 0.5), at('AB', 0.4));
  const half = value.coverage_factor! * value.standard_uncertainty!;
  expect(value.percent_low).toBeCloseTo(100 * (0.8 * Math.exp(-half) - 1), 9);
  expect(value.percent_high).toBeCloseTo(100 * (0.8 * Math.exp(half) - 1), 9);
  expect(value.high).toBeCloseTo((0.5 * value.percent_high!) / 100, 12);
  expect(value).toMatchObject({ verdict: 'reduced', noticeable: 'yes', correlation: 0, to_settle: null, p_holm: null });
});

describe('two stages', () => {
  const given = { quantity: 'c50_db' } as const;
  const of = (places: Place[]) => stageValue(cellOf(places, given), { seen: [], repeatability: NOT_REPEATED });
  const [before, after] = [at('AB', 5, { floor: 0.2 }), at('CDE', 6, { floor: 0.9 })];

  test('that share no place differ by the sum of their variances', () => {
    const value = change(before, after, {}, given);
    expect(value.standard_uncertainty).toBeCloseTo(
      Math.hypot(of(before).standard_uncertainty!, of(after).standard_uncertainty!),
      12,
    );
    expect(value).toMatchObject({ shared_positions: 0, scope: 'room', difference: 1 });
    expect(value.reasons).toEqual(['the two stages share no position: compared as independent']);
  });

  test('that share places do too, until it is seen that they share more', () => {
    const [first, second] = [at('AB', 5, { floor: 0.2 }), at('AB', 6, { floor: 0.2 })];
    const plain = change(first, second, {}, given);
    expect(plain.standard_uncertainty).toBeCloseTo(Math.SQRT2 * of(first).standard_uncertainty!, 12);
    expect([plain.correlation, plain.reasons]).toEqual([0, []]);
    const shared = change(first, second, { shared: { correlation: 0.8, pairs: 1e4 } }, given);
    expect(shared.correlation).toBeCloseTo(0.8, 3);
    // The variance of a difference of two values of equal spread: 2 (1 - r).
    expect(shared.standard_uncertainty! / plain.standard_uncertainty!).toBeCloseTo(Math.sqrt(0.2), 3);
    const apart = change(first, at('CD', 6, { floor: 0.2 }), { shared: { correlation: 0.8, pairs: 1e4 } }, given);
    expect(apart.correlation).toBe(0);
  });

  test('tell of the room only where each was measured at two places', () => {
    const scope = (one: string, other: string) => change(at(one, 0.5), at(other, 0.4)).scope;
    expect([scope('AB', 'AB'), scope('AB', 'CD'), scope('AB', 'A')]).toEqual(['room', 'room', 'position']);
    expect([scope('A', 'BC'), scope('AB', 'C')]).toEqual(['position', 'position']);
  });
});

test('at one place the spread over the room is said to be assumed, or shown by other bands', () => {
  const first = { floor: 1e-4, own: 0, repeats: 0 };
  const seen: SpreadSeen = { mean_square: 1e-4, dof: 4, first, second: null, sign: 1 };
  const said = (single: ChangeEvidence['single']) => change(at('A', 0.5), at('A', 0.4), { single }).reasons.join();
  expect(said([])).toMatch(/^compared at one position: .* allowed for by assumption$/);
  expect(said([seen])).toMatch(/^compared at one position: .* allowed for as other bands and stages show it$/);
});

describe('the budget', () => {
  const sources = (...given: Parameters<typeof change>) => change(...given).budget.map(({ source }) => source);

  test('of a time has a line for the speed of sound where temperatures differ, of a level none', () => {
    const warm = { temperature: 0.003 };
    expect(change(at('A', 0.5), at('A', 0.4), warm).budget).toContainEqual({
      source: 'temperature',
      standard_uncertainty: 0.003,
      dof: null,
    });
    expect(sources(at('A', 5), at('A', 4), warm, { quantity: 'c50_db' })).not.toContain('temperature');
    expect(sources(at('A', 0.5), at('A', 0.4))).not.toContain('temperature');
  });

  test('of a level from single claps has the judgement of each stage, over its places', () => {
    const { budget } = change(at('A', -5), at('ABCD', -6), {}, { quantity: 'late_level_db' });
    expect(budget.filter(({ source }) => source === 'repeatability').map((line) => line.standard_uncertainty)).toEqual([
      2, 2,
    ]);
    const apart = change(at('A', -5), at('BCDE', -6), {}, { quantity: 'late_level_db' }).budget;
    expect(apart.filter(({ source }) => source === 'repeatability').map((line) => line.standard_uncertainty)).toEqual([
      2, 1,
    ]);
  });

  test('holds the noise of both stages', () => {
    const { budget } = change(at('A', 0.5, { noise_share: 0.3 }), at('A', 0.4, { noise_share: 0.1 }));
    const range = budget.find(({ source }) => source === 'range')!;
    expect(range.standard_uncertainty ** 2).toBeCloseTo(0.4e-4, 12);
  });
});

describe('the air', () => {
  const said = (before: number, after: number, air_percent: number, given: Partial<Cell> = {}) =>
    change(at('AB', before), at('AB', after), { air_percent }, given).reasons;

  test('is named where it could account for the change by itself', () => {
    expect(said(0.5, 0.4, -20)).toEqual(['the difference in air alone, -20.0 %, could account for it']);
    expect(said(0.5, 0.6, 20.04)).toEqual(['the difference in air alone, +20.0 %, could account for it']);
  });

  test('is not where the change is more, less or none, nor of a level', () => {
    for (const air of [-60, 5]) expect(said(0.5, 0.4, air)).toEqual([]);
    expect(said(0.5, 0.5, 0)).toEqual([]);
    expect(said(5, 9, 4, { quantity: 'c50_db' })).toEqual([]);
  });
});

test('a change with a stage missing names the stage and why, and holds no number', () => {
  const none = cellOf([], { stage: 'after', looked_at: 0 });
  const value = changeValue(cellOf(at('AB', 0.5)), none, NOTHING_SEEN);
  expect(value).toMatchObject({ verdict: 'not-measurable', noticeable: 'unclear', scope: 'position', budget: [] });
  expect(value.reasons).toEqual(['"after": no response of this stage could be used']);
  const few = cellOf(at('AB', 0.4), { stage: 'after', looked_at: 9 });
  expect(changeValue(cellOf(at('AB', 0.5)), few, NOTHING_SEEN)).toMatchObject({ scope: 'room', difference: null });
});

describe('the change of the mean of bands', () => {
  const low = change(at('AB', 0.5), at('AB', 0.4), { air_percent: -1 });
  const high = change(at('ABC', 1.5), at('ABC', 0.6, { floor: 9e-4 }), { air_percent: -3 }, { centre_hz: 1000 });

  test('counts each ratio by its share of the mean, half from before and half from after', () => {
    const mid = changeOfMean([low, high], [0.5, 1.5], [0.4, 0.6]);
    expect(mid.ratio).toBeCloseTo(0.5, 12);
    // Shares 0.25 and 0.75 before, 0.4 and 0.6 after.
    expect(mid.standard_uncertainty).toBeCloseTo(
      Math.hypot(0.325 * low.standard_uncertainty!, 0.675 * high.standard_uncertainty!),
      12,
    );
    expect(mid).toMatchObject({ centre_hz: 'mid', shared_positions: 2, scope: 'room', air_percent: -1, reasons: [] });
  });

  test('counts differences evenly', () => {
    const given = { quantity: 'c50_db' } as const;
    const bands = [change(at('AB', 5), at('AB', 6), {}, given), change(at('AB', 5), at('AB', 8), {}, given)];
    const mid = changeOfMean(bands, [5, 5], [6, 8]);
    expect(mid.difference).toBe(2);
    expect(mid.standard_uncertainty).toBeCloseTo(bands[0]!.standard_uncertainty! / Math.SQRT2, 12);
  });

  test('is no surer of the air, the room or the stages than its bands', () => {
    const one = change(at('A', 1.5), at('A', 0.6), { shared: { correlation: 0.8, pairs: 1e4 } }, { centre_hz: 1000 });
    const mid = changeOfMean([low, one], [0.5, 1.5], [0.4, 0.6]);
    expect(mid).toMatchObject({ air_percent: null, scope: 'position', shared_positions: 1, reasons: one.reasons });
    expect(mid.correlation).toBeCloseTo(one.correlation / 2, 12);
  });

  test('is not measurable where a band is not, which is named', () => {
    const missing = { ...changeValue(cellOf([]), cellOf(at('A', 1)), NOTHING_SEEN), reasons: ['one', 'two'] };
    const mid = changeOfMean([low, missing], [], []);
    expect(mid).toMatchObject({ verdict: 'not-measurable', centre_hz: 'mid', shared_positions: 0 });
    expect(mid.reasons).toEqual(['500 Hz: one; two']);
  });
});
