import { describe, expect, test } from 'vitest';
import { type FullRangeDecay, fitFullRange, fitStart_s } from '../../src/room/full-range-decay.ts';
import { cellModel } from '../../src/statistics/cell-model.ts';
import { decayFromPower, rateOf } from './decay-from-power.ts';
import { gaussianStream } from './simulated-response.ts';

/** Chi-square energies of two degrees of freedom 700 times a second about a given mean: a diffuse decay in a 700 Hz band. */
function fitTo(
  mean: (time_s: number) => number,
  seed: number,
  { end_s = 1, crossing_s = 0.3, noise = 1e-5 } = {},
): FullRangeDecay | null {
  const draw = gaussianStream(seed);
  const decay = decayFromPower((t) => (mean(t) * (draw() ** 2 + draw() ** 2)) / 2, { rate_hz: 700, end_s });
  const rough = { decay_time_s: 0.4, crossing_s, noise };
  return fitFullRange(decay, rough, { bandwidth_hz: 700, statistical_hz: 700 });
}
const slope =
  (T: number, level_db = 0) =>
  (t: number) =>
    10 ** (level_db / 10) * Math.exp(-rateOf(T) * t);
const sum =
  (...parts: ((t: number) => number)[]) =>
  (t: number) =>
    parts.reduce((total, part) => total + part(t), 0);
const noise = (level_db: number) => () => 10 ** (level_db / 10);

test('the fit starts at 20 ms or a tenth of the decay time, never before 5 ms', () => {
  [0.02, 0.02, 0.01, 0.005].forEach((start_s, i) => {
    expect(fitStart_s([1, 0.2, 0.1, 0.03][i]!)).toBeCloseTo(start_s, 9);
  });
});

test('one slope: time within three standard errors, range within 2 dB, nothing held against it', () => {
  for (let seed = 1; seed <= 20; seed++) {
    const fit = fitTo(sum(slope(0.3), noise(-55)), seed)!;
    expect(Math.abs(fit.time_s - 0.3)).toBeLessThan(3.5 * fit.standard_error_s);
    expect(Math.abs(fit.range_db - 55)).toBeLessThan(2);
    expect(fit.verdict).toBeNull();
    expect(fit.cut_at_db).toBeNull();
  }
});

test('a rough start twice or half as long leads to the same time', () => {
  const draw = gaussianStream(4);
  const mean = sum(slope(0.3), noise(-55));
  const decay = decayFromPower((t) => mean(t) * draw() ** 2, { rate_hz: 1400, end_s: 1 });
  const times = [0.15, 0.3, 0.6].map((decay_time_s) => {
    const rough = { decay_time_s, crossing_s: 0.3, noise: 1e-5 };
    return fitFullRange(decay, rough, { bandwidth_hz: 700, statistical_hz: 700 })!.time_s;
  });
  for (const time_s of times) expect(time_s / times[1]!).toBeCloseTo(1, 2);
});

test('two slopes that cross at -33 dB are found and refused', () => {
  for (let seed = 1; seed <= 10; seed++) {
    const fit = fitTo(sum(slope(0.3), slope(1, -22), noise(-60)), seed)!;
    expect(fit.verdict).toBe('two-slopes');
    expect(Math.abs(fit.two_slopes!.early_s - 0.3)).toBeLessThan(0.06);
    expect(Math.abs(fit.two_slopes!.late_s - 1)).toBeLessThan(0.3);
  }
});

test('a second slope that takes over only below 45 dB leaves the early time valid, and says where it was cut', () => {
  for (let seed = 1; seed <= 10; seed++) {
    const fit = fitTo(sum(slope(0.3), slope(1.2, -42), noise(-85)), seed, { end_s: 2, crossing_s: 0.85, noise: 4e-9 })!;
    expect(fit.verdict).toBeNull();
    expect(fit.cut_at_db).toBeGreaterThan(45);
    expect(Math.abs(fit.time_s - 0.3)).toBeLessThan(4 * fit.standard_error_s);
  }
});

test('slopes of 0.30 and 0.33 s are one decay: what they differ by is under the just noticeable 5 %', () => {
  for (let seed = 1; seed <= 10; seed++) {
    expect(fitTo(sum(slope(0.3, -3), slope(0.33, -3), noise(-55)), seed)!.verdict).toBeNull();
  }
});

test('a decay held level for 80 ms, and a second event 25 dB up, are misfits', () => {
  for (let seed = 1; seed <= 10; seed++) {
    const held = fitTo(
      sum((t) => slope(0.3)(Math.max(t, 0.08)), noise(-55)),
      seed,
    );
    expect(held?.verdict ?? 'misfit').toBe('misfit');
    const twice = fitTo(
      sum(slope(0.3), (t) => (t > 0.22 ? slope(0.3, -20)(t - 0.22) : 0), noise(-60)),
      seed,
    );
    expect(twice?.verdict ?? 'misfit').not.toBeNull();
  }
});

test('noise alone has no full-range time, or no range', () => {
  for (let seed = 1; seed <= 10; seed++) {
    const fit = fitTo(noise(0), seed);
    expect(fit === null || fit.verdict !== null || fit.range_db < 20).toBe(true);
  }
});

describe('of a decay without chance', () => {
  /** A decay as its formula has it, in a band of the statistical bandwidth given. */
  function exactFit(
    mean: (time_s: number) => number,
    { bandwidth_hz = 700, end_s = 1, decay_time_s = 0.4, crossing_s = 0.3, rough_noise = 1e-5, rate_hz = 4000 } = {},
  ): FullRangeDecay | null {
    const rough = { decay_time_s, crossing_s, noise: rough_noise };
    const options = { bandwidth_hz, statistical_hz: bandwidth_hz };
    return fitFullRange(decayFromPower(mean, { rate_hz, end_s }), rough, options);
  }
  const deep = { end_s: 2, crossing_s: 0.5, rough_noise: 1e-7 };
  /** Standard error by the Cramer-Rao bound of a decay over steady noise, which cells of some width reach to a tenth. */
  const bound_s = (range_db: number, bandwidth_hz: number) => {
    const { variance } = cellModel({ range_db, start_db: (60 * 0.02) / 0.3 });
    return 0.3 * Math.sqrt(variance / (bandwidth_hz * (0.3 / 60)));
  };

  test.each([
    [100, 35],
    [100, 55],
    [700, 35],
    [700, 55],
    [3000, 55],
  ])('bandwidth %i Hz, range %i dB: the time itself, and the standard error of its bound', (bandwidth_hz, range_db) => {
    const fit = exactFit(sum(slope(0.3), noise(-range_db)), { bandwidth_hz })!;
    expect(fit.time_s).toBeCloseTo(0.3, 4);
    expect(fit.range_db).toBeCloseTo(range_db, 1);
    expect(fit.standard_error_s / bound_s(range_db, bandwidth_hz)).toBeGreaterThan(0.9);
    expect(fit.standard_error_s / bound_s(range_db, bandwidth_hz)).toBeLessThan(1);
    expect(fit).toMatchObject({ two_slopes: null, verdict: null, cut_at_db: null, dispersion: 1 });
  });

  test('without noise the range is what the decay has fallen by where the samples end', () => {
    const fit = exactFit(slope(0.3), { end_s: 0.25, crossing_s: 0.25, rough_noise: 0 })!;
    expect(fit.time_s).toBeCloseTo(0.3, 3);
    expect(fit.range_db).toBeCloseTo(50, 0);
  });

  test('none where too little is seen: over within 15 ms of 5, an error over a third, silence, a few cells', () => {
    const fast = (T: number) =>
      exactFit(sum(slope(T), noise(-60)), {
        ...{ bandwidth_hz: 2000, decay_time_s: T, crossing_s: T, rough_noise: 1e-6, rate_hz: 40_000 },
      });
    // From 5 ms on, 12 dB of extrapolation are 25 ms of decay time.
    expect([0.02, 0.024, 0.026, 0.03].map((T) => fast(T)?.time_s.toFixed(3) ?? null)).toEqual([
      null,
      null,
      '0.026',
      '0.030',
    ]);
    const narrow = (bandwidth_hz: number) =>
      exactFit(sum(slope(0.3), noise(-30)), { bandwidth_hz, rough_noise: 1e-3, crossing_s: 0.15 });
    expect([10, 20].map(narrow)).toEqual([null, null]);
    expect(narrow(40)!.standard_error_s / 0.3).toBeLessThan(0.35);
    expect(narrow(40)!.standard_error_s / narrow(80)!.standard_error_s).toBeCloseTo(Math.SQRT2, 1);
    expect(exactFit((t) => (t < 0.1 ? slope(0.3)(t) : 0))).toBeNull();
    expect(exactFit(slope(0.3), { end_s: 0.03, crossing_s: 0.03, rough_noise: 0 })).toBeNull();
  });

  test.each([
    [0.4, -10],
    [0.5, -15],
    [0.6, -20],
    [0.8, -30],
  ])('a late slope of %d s from %d dB is found as it is, and the one time refused', (late_s, late_db) => {
    const fit = exactFit(sum(slope(0.3), slope(late_s, late_db), noise(-70)), { bandwidth_hz: 3000, ...deep })!;
    expect(fit.verdict).toBe('two-slopes');
    expect(fit.cut_at_db).toBeNull();
    expect(fit.two_slopes!.early_s).toBeCloseTo(0.3, 3);
    expect(fit.two_slopes!.late_s).toBeCloseTo(late_s, 3);
    expect(fit.two_slopes!.late_level_db).toBeCloseTo(late_db, 1);
    // Both are as strong where their lines in dB meet.
    expect(fit.two_slopes!.crossing_s).toBeCloseTo(-late_db / (60 / 0.3 - 60 / late_s), 3);
  });

  test.each([
    [0.6, -25],
    [1, -35],
  ])('one of %d s from %d dB takes over deep down: the early time from what lies above', (late_s, late_db) => {
    const fit = exactFit(sum(slope(0.3), slope(late_s, late_db), noise(-70)), { bandwidth_hz: 3000, ...deep })!;
    expect(fit.verdict).toBeNull();
    // Where the lines meet, at -50 dB, the two together are 3 dB more.
    expect(fit.cut_at_db).toBe(47);
    expect(fit.time_s / 0.3).toBeGreaterThan(1);
    expect(fit.time_s / 0.3).toBeLessThan(1.05);
    // 45 dB without noise are known better than 45 dB over noise.
    expect(fit.standard_error_s / bound_s(45, 3000)).toBeGreaterThan(0.6);
    expect(fit.standard_error_s / bound_s(45, 3000)).toBeLessThan(1.1);
  });

  test('two slopes that hardly differ: both told, and the error widened by what T20 differs by', () => {
    const fit = exactFit(sum(slope(0.3), slope(0.35, -5), noise(-70)), {
      ...{ bandwidth_hz: 20_000, rate_hz: 40_000 },
      ...deep,
    })!;
    expect(fit.verdict).toBeNull();
    expect(fit.two_slopes!.late_s).toBeCloseTo(0.35, 2);
    const departure = Math.max(...[-25, -35].map((to_db) => Math.abs(fit.time_s / lineOfSum(to_db) - 1)));
    expect(departure).toBeLessThan(0.05);
    const own_s = bound_s(70, 20_000) * (fit.time_s / 0.3) ** 1.5;
    expect(fit.standard_error_s / Math.hypot(own_s, (departure * fit.time_s) / Math.sqrt(3))).toBeCloseTo(1, 1);

    /** T20 or T30 of the two by their definition: a least-squares line through the integrated decay (ISO 3382-1:2009, 5.3). */
    function lineOfSum(to_db: number): number {
      const energy = (t: number) => slope(0.3)(t) / rateOf(0.3) + slope(0.35, -5)(t) / rateOf(0.35);
      const points = Array.from({ length: 4000 }, (_, i) => [
        i / 10_000,
        10 * Math.log10(energy(i / 10_000) / energy(0)),
      ]);
      const inside = points.filter(([, level]) => level! <= -5 && level! >= to_db);
      const [t, l] = [0, 1].map((k) => inside.reduce((all, point) => all + point[k]!, 0) / inside.length);
      const products = inside.reduce((all, point) => all + (point[0]! - t!) * (point[1]! - l!), 0);
      return -60 / (products / inside.reduce((all, point) => all + (point[0]! - t!) ** 2, 0));
    }
  });
});
