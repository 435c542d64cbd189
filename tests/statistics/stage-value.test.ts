import { describe, expect, test } from 'vitest';
import type { SpreadSeen } from '../../src/statistics/place-variance.ts';
import { commonest, meanOfBands, stageValue, unavailableReason } from '../../src/statistics/stage-value.ts';
import { cellOf, NOT_REPEATED, placeOf } from './given-cells.ts';

const EVIDENCE = { seen: [], repeatability: NOT_REPEATED };
const SEEN: SpreadSeen = {
  mean_square: 0.02,
  dof: 2,
  first: { floor: 0.01, own: 0, repeats: 0 },
  second: null,
  sign: 1,
};
const TWO = [placeOf({ mean: 0.4 }), placeOf({ position: 'B', mean: 0.6 })];

describe('the value of a stage', () => {
  test('is measured over the room from two places, without any reason to read it with care', () => {
    const value = stageValue(cellOf(TWO), { ...EVIDENCE, seen: [SEEN] });
    expect(value).toMatchObject({ value: 0.5, status: 'measured', scope: 'room', positions: 2, responses: 2 });
    expect([value.reasons, value.overdispersion_assumed]).toEqual([[], false]);
  });

  test('of one place says whether its spread over the room was seen in other bands, and that one response tells of no repeats', () => {
    const reasons = (responses: number, seen: (typeof SEEN)[]) =>
      stageValue(cellOf([placeOf({ responses })]), { ...EVIDENCE, seen }).reasons;
    expect(reasons(2, [SEEN])).toEqual([
      expect.stringMatching(/^measured at one position: .*taken from other bands and stages, \d\.\d times/),
    ]);
    expect(reasons(1, [])).toEqual([
      expect.stringMatching(/^measured at one position: .*assumed, not seen, at \d\.\d times/),
      'one response only: how far repeats differ was not seen',
    ]);
  });

  test('names the places that gave none', () => {
    const { reasons } = stageValue(cellOf(TWO, { stage_positions: ['A', 'B', 'C', 'D'] }), EVIDENCE);
    expect(reasons).toEqual(['no value at position C, D']);
  });

  test('of a decay time allows for what lies in the fit itself, of a level for nothing of the kind', () => {
    const lineOf = (quantity: 'tfull_s' | 'c50_db') =>
      stageValue(cellOf(TWO, { quantity }), EVIDENCE).budget.find(({ source }) => source === 'fit');
    // The half-width of a rectangle, 1.3 x 0.01 of 0.5 s, over the root of three: JCGM 100:2008, 4.3.7.
    expect(lineOf('tfull_s')!.standard_uncertainty).toBeCloseTo((0.013 * 0.5) / Math.sqrt(3), 12);
    expect(lineOf('tfull_s')!.dof).toBeNull();
    expect(lineOf('c50_db')).toBeUndefined();
  });

  test('counts on half of the responses at least, and on one at the least', () => {
    const reason = (responses: number, looked_at: number) => unavailableReason(cellOf(TWO, { responses, looked_at }));
    expect(reason(2, 4)).toBeNull();
    expect(reason(2, 5)).toMatch(/^2 of 5 responses/);
    expect(reason(0, 0)).toBe('no response of this stage could be used');
  });

  test('is unavailable over the room where the stage has several places, at one where it has one', () => {
    const none = { responses: 0, looked_at: 2, places: [] };
    const of = (...stage_positions: string[]) => stageValue(cellOf([], { ...none, stage_positions }), EVIDENCE);
    expect(of('A', 'B')).toMatchObject({ status: 'unavailable', scope: 'room', value: null, budget: [] });
    expect(of('A')).toMatchObject({ status: 'unavailable', scope: 'position', overdispersion_assumed: false });
  });
});

test('at most two reasons are given, the commonest first, then by their words, none given by fewer than asked for', () => {
  const counts = new Map([
    ['c', 2],
    ['b', 3],
    ['a', 2],
    ['d', 1],
  ]);
  expect(commonest(counts)).toEqual(['b', 'a']);
  expect(commonest(counts, 3)).toEqual(['b']);
  expect(commonest(new Map([...counts].toReversed()))).toEqual(['b', 'a']);
});

describe('the mean of bands', () => {
  const band = (...given: Parameters<typeof cellOf>) => stageValue(cellOf(...given), EVIDENCE);

  test('counts the fewer responses and places, and is of the room where both are', () => {
    const three = [...TWO, placeOf({ position: 'C', mean: 0.8, floor: 0.04 })];
    const [low, high] = [band(TWO), band(three, { centre_hz: 1000, quantity: 'tfull_s' })];
    const mid = meanOfBands([low, high]);
    expect(mid).toMatchObject({ centre_hz: 'mid', responses: 2, positions: 2, scope: 'room', status: 'measured' });
    expect(mid.value).toBeCloseTo(0.55, 12);
    expect(mid.overdispersion).toBeCloseTo(Math.sqrt((low.overdispersion! ** 2 + high.overdispersion! ** 2) / 2), 12);
    expect(mid.overdispersion_assumed).toBe(true);
  });

  test('is as doubtful as its more doubtful band, for the reasons of all, each once', () => {
    const flagged = band(TWO, { flags: new Map([['curved', 2]]) });
    const one = band(TWO.slice(1), { centre_hz: 1000 });
    const mid = meanOfBands([flagged, one, one]);
    expect(mid).toMatchObject({ status: 'flagged', scope: 'position' });
    expect(mid.reasons).toEqual(['curved', ...one.reasons]);
  });

  test('assumes its spread where either band does', () => {
    const seen = stageValue(cellOf(TWO), { ...EVIDENCE, seen: [SEEN] });
    expect(meanOfBands([seen, band(TWO)]).overdispersion_assumed).toBe(true);
    expect(meanOfBands([seen, seen]).overdispersion_assumed).toBe(false);
  });

  test('is unavailable where either band is, with the band and its reasons', () => {
    const none = { ...band([], { looked_at: 0, centre_hz: 1000 }), reasons: ['one', 'two'] };
    const mid = meanOfBands([band(TWO), none]);
    expect(mid).toMatchObject({ value: null, status: 'unavailable', centre_hz: 'mid', positions: 0, responses: 0 });
    expect(mid.reasons).toEqual(['1000 Hz: one; two']);
  });
});
