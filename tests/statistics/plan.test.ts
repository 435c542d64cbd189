import { expect, test } from 'vitest';
import { noiseShare } from '../../src/statistics/noise-share.ts';
import { detectableChange_percent, type MeasurementPlan, PLANNED_OVERDISPERSION } from '../../src/statistics/plan.ts';
import { bandwidthHz, fullRangeVariance } from '../../src/statistics/spread-floor.ts';
import { falseClaimsOfUsualPractice } from '../../src/statistics/usual-practice.ts';
import { compared, pick, readingsOf } from './readings.ts';

const PLAN: MeasurementPlan = {
  positions: 3,
  responses_per_position: 4,
  width: 'octave',
  centre_hz: 1000,
  decay_s: 0.3,
  range_db: 50,
};

test('detectableChange_percent falls with positions, claps, range and frequency', () => {
  const plain = detectableChange_percent(PLAN);
  expect(detectableChange_percent({ ...PLAN, positions: 6 })).toBeLessThan(plain);
  expect(detectableChange_percent({ ...PLAN, positions: 1 })).toBeGreaterThan(plain);
  expect(detectableChange_percent({ ...PLAN, responses_per_position: 1 })).toBeGreaterThan(plain);
  expect(detectableChange_percent({ ...PLAN, range_db: 35 })).toBeGreaterThan(plain);
  expect(detectableChange_percent({ ...PLAN, centre_hz: 125 })).toBeGreaterThan(plain);
});

test('what the plan says it detects is found in nine simulated measurements of ten', () => {
  const percent = detectableChange_percent(PLAN);
  let found = 0;
  const draws = 120;
  for (let seed = 1; seed <= draws; seed++) {
    const readings = readingsOf(
      {
        bands_hz: [250, 500, 1000, 2000],
        decay_s: [0.3, 0.3 * (1 - percent / 100)],
        positions: 3,
        claps: 4,
        overdispersion: 1.25,
        full_range_only: true,
        correlation: 0,
      },
      seed,
    );
    if (pick(compared(readings).change.values, 'tfull_s', 1000).verdict === 'reduced') found++;
  }
  // Binomial, 120 draws at 0.9: three standard errors are 0.082.
  expect(found / draws).toBeGreaterThan(0.9 - 0.082);
  expect(found / draws).toBeLessThan(0.9 + 0.082);
});

test('with positions enough the plan is the textbook one: (1.960 + 1.282) standard errors of the difference of two means', () => {
  // Normal quantiles for 95 % two-sided and 90 % power. The variance over places is the theoretical one times the squared
  // overdispersion, of which the noise's share alone falls with repeats.
  const floor = fullRangeVariance({ decay_s: 0.3, bandwidth_hz: bandwidthHz('octave', 1000), range_db: 50 });
  const share = noiseShare(50);
  for (const [positions, responses] of [
    [400, 1],
    [400, 8],
    [1600, 2],
  ] as const) {
    const variance = (floor * (PLANNED_OVERDISPERSION ** 2 - share + share / responses)) / positions;
    const expected = -100 * Math.expm1(-(1.96 + 1.2816) * Math.sqrt(2 * variance));
    const got = detectableChange_percent({ ...PLAN, positions, responses_per_position: responses });
    // The overdispersion is told to a step of 7 % of its grid.
    expect(Math.abs(got / expected - 1)).toBeLessThan(0.05);
  }
});

test('of one position the spread is thought, not seen: more is needed than half of two; of two it is seen about as well as of three', () => {
  // Were the spread known, one position would need the root of 2 times what two need; thought, it has some six degrees of freedom.
  const [one, two, three] = [1, 2, 3].map(
    (positions) => -Math.log1p(-detectableChange_percent({ ...PLAN, positions }) / 100),
  );
  expect(one! / two!).toBeGreaterThan(Math.SQRT2);
  // Two have fewer degrees of freedom than three, but are drawn nearer to an overdispersion of 1, thought likeliest: within 3 %.
  expect(Math.abs(two! / three! / Math.sqrt(3 / 2) - 1)).toBeLessThan(0.03);
});

test('detectableChange_percent throws without a position or a response', () => {
  for (const none of [{ positions: 0 }, { responses_per_position: 0 }]) {
    expect(() => detectableChange_percent({ ...PLAN, ...none })).toThrow(/a plan needs a position and a response/);
  }
});

test('an undecided change says how many more positions would settle it, and that claps would not', () => {
  const readings = readingsOf({ decay_s: [0.3, 0.285], positions: 2, claps: 2, correlation: 0 }, 5);
  const value = pick(compared(readings).change.values, 'tfull_s', 500);
  expect(value.verdict).toBe('no-detectable-change');
  expect(value.to_settle?.question).toBe('detectable');
  expect(value.to_settle?.more_responses_per_position).toBeNull();
});

test('a settled change has nothing to settle', () => {
  const { change } = compared(readingsOf({ decay_s: [0.3, 0.15] }));
  expect(pick(change.values, 'tfull_s', 1000).noticeable).toBe('yes');
  expect(pick(change.values, 'tfull_s', 1000).to_settle).toBeNull();
});

test('falseClaimsOfUsualPractice: one T20 before and after, over 5 % believed, claims a change in about half of cases at 1 kHz', () => {
  const at = (centre_hz: number) =>
    falseClaimsOfUsualPractice({ decay_s: 0.3, bandwidth_hz: bandwidthHz('octave', centre_hz), least_percent: 5 });
  expect(at(1000)).toBeGreaterThan(0.45);
  expect(at(1000)).toBeLessThan(0.6);
  expect(at(125)).toBeGreaterThan(0.75);
  expect(at(4000)).toBeLessThan(0.3);
});
