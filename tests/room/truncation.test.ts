import { expect, test } from 'vitest';
import { findTruncation } from '../../src/room/truncation.ts';
import { decayFromPower, rateOf } from './decay-from-power.ts';
import { gaussianStream } from './simulated-response.ts';

// Exponential of 1 s, power 1 at zero, plus steady noise R dB down: they cross at R/60 s (computed; 2 % of T for random noise).
// Method: Lundeby, Vigran, Bietz, Vorlander, Acustica 81 (1995) 344-355.
const withNoise = (range_db: number, seed: number | null) => {
  const noise = 10 ** (-range_db / 10);
  const draw = seed === null ? null : gaussianStream(seed);
  return decayFromPower((t) => (Math.exp(-rateOf(1) * t) + noise) * (draw ? draw() ** 2 : 1), {
    rate_hz: 3000,
    end_s: 2,
  });
};

test.each([
  [30, 0.5],
  [45, 0.75],
  [60, 1.0],
])('range %i dB: the decay meets the noise at %f s', (range_db, time_s) => {
  const found = findTruncation(withNoise(range_db, null), 700)!;
  expect(found.met_noise).toBe(true);
  // The leftover of the decay in the first levels of the noise bends the late slope a little: under 2 % of T all the same.
  expect(Math.abs(found.time_s - time_s)).toBeLessThan(0.02);
  expect(10 * Math.log10(found.noise)).toBeCloseTo(-range_db, 0);
});

test('range 30 to 60 dB, random noise: within 2 % of T on average over twenty decays', () => {
  for (const range_db of [30, 45, 60]) {
    let sum = 0;
    for (let seed = 1; seed <= 20; seed++) sum += findTruncation(withNoise(range_db, seed), 700)!.time_s / 20;
    expect(Math.abs(sum - range_db / 60), `${range_db} dB`).toBeLessThan(0.02);
  }
});

test('a decay that the samples cut off runs to their end, and no noise is taken off', () => {
  const decay = decayFromPower((t) => Math.exp(-rateOf(1) * t), { rate_hz: 3000, end_s: 0.6 });
  const found = findTruncation(decay, 700)!;
  expect(found).toMatchObject({ met_noise: false, noise: 0 });
  expect(found.time_s).toBeCloseTo(0.6, 3);
  expect(found.late_slope_db_s).toBeCloseTo(-60, 0);
});

test('steady noise alone, or a rise, has no truncation point', () => {
  expect(
    findTruncation(
      decayFromPower(() => 1, { rate_hz: 3000, end_s: 1 }),
      700,
    ),
  ).toBeNull();
  expect(
    findTruncation(
      decayFromPower((t) => Math.exp(3 * t), { rate_hz: 3000, end_s: 1 }),
      700,
    ),
  ).toBeNull();
});

test.each([0.3, 1.2, 1.9])(
  'a sound that stops dead %f s after time zero is no decay from there, and no number overflows',
  (after_s) => {
    // T of 10 ms: 6000 dB a second. Carried back by 1.2 s that is a level of 7200 dB, past what a number can hold.
    const late = (t: number) => (t < after_s ? 1e-8 : Math.exp(-rateOf(0.01) * (t - after_s)) + 1e-8);
    expect(findTruncation(decayFromPower(late, { rate_hz: 3000, end_s: 2 }), 700)).toBeNull();
  },
);
