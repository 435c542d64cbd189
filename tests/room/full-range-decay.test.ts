import { expect, test } from 'vitest';
import { type FullRangeDecay, fitFullRange, fitStart_s } from '../../src/room/full-range-decay.ts';
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
