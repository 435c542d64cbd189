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

test('of two slopes it is the later that is followed to the noise', () => {
  // 0.3 s, then 1.2 s from 20 dB down: the late line meets a noise of -60 dB at 40 dB x 1.2 / 60.
  const power = (t: number) => Math.exp(-rateOf(0.3) * t) + 1e-2 * Math.exp(-rateOf(1.2) * t) + 1e-6;
  const found = findTruncation(decayFromPower(power, { rate_hz: 3000, end_s: 2 }), 700)!;
  expect(Math.abs(found.time_s - 0.8)).toBeLessThan(0.03);
  expect(Math.abs(found.late_slope_db_s + 50)).toBeLessThan(2.5);
  expect(Math.abs(found.late_level_db + 20)).toBeLessThan(1);
  expect(10 * Math.log10(found.noise)).toBeCloseTo(-60, 1);
});

test('a decay that begins late is followed from its strongest moment, whatever comes before', () => {
  const power = (t: number) => (t < 0.2 ? 1e-3 * 10 ** (5 * t) : Math.exp(-rateOf(1) * (t - 0.2))) + 1e-5;
  const found = findTruncation(decayFromPower(power, { rate_hz: 3000, end_s: 2 }), 700)!;
  expect(Math.abs(found.time_s - (0.2 + 50 / 60))).toBeLessThan(0.02);
  // The noise lifts what lies 10 dB over it by 0.4 dB, so that the line is a little flat.
  expect(Math.abs(found.late_level_db - 12)).toBeLessThan(1.2);
});

test.each([0.01, 1, 100])('a recording %f times as strong has its crossing at the same time', (gain) => {
  const at = (scale: number) => {
    const power = (t: number) => scale * (Math.exp(-rateOf(0.5) * t) + 1e-4);
    return findTruncation(decayFromPower(power, { rate_hz: 3000, end_s: 1 }), 700)!;
  };
  expect(at(gain).time_s).toBeCloseTo(at(1).time_s, 9);
  expect(at(gain).noise / gain).toBeCloseTo(at(1).noise, 12);
  expect(at(gain).late_level_db - 10 * Math.log10(gain)).toBeCloseTo(at(1).late_level_db, 9);
});

test('noise that fills the last tenth alone has been met; what the decay leaves in it is not noise', () => {
  // 1 s, 55 dB over the noise: met at 0.917 s. The samples end soon after, or before.
  const until = (end_s: number) =>
    findTruncation(
      decayFromPower((t) => Math.exp(-rateOf(1) * t) + 10 ** -5.5, { rate_hz: 3000, end_s }),
      700,
    )!;
  for (const end_s of [1, 1.05, 1.2]) {
    expect(until(end_s).met_noise).toBe(true);
    expect(Math.abs(until(end_s).time_s - 55 / 60)).toBeLessThan(0.02);
    expect(Math.abs(10 * Math.log10(until(end_s).noise) + 55)).toBeLessThan(1.5);
  }
  for (const end_s of [0.5, 0.75]) {
    expect(until(end_s)).toMatchObject({ met_noise: false, noise: 0 });
    expect(until(end_s).time_s).toBeCloseTo(end_s, 3);
  }
});

test('in a narrow band the steps are as wide as the band asks for, and too few of them tell nothing', () => {
  const decay = (end_s: number) => decayFromPower((t) => Math.exp(-rateOf(0.6) * t) + 1e-4, { rate_hz: 3000, end_s });
  // One over 20 Hz is 50 ms.
  expect(findTruncation(decay(0.19), 20)).toBeNull();
  expect(findTruncation(decay(0.19), 700)).not.toBeNull();
  expect(Math.abs(findTruncation(decay(1.2), 20)!.time_s - 0.4)).toBeLessThan(0.03);
});

test('a decay that begins after a silence is found past it', () => {
  const power = (t: number) => (t < 0.2 ? 0 : Math.exp(-rateOf(0.6) * (t - 0.2))) + 1e-5;
  const found = findTruncation(decayFromPower(power, { rate_hz: 3000, end_s: 2 }), 700)!;
  expect(Math.abs(found.time_s - 0.7)).toBeLessThan(0.02);
  expect(Math.abs(found.late_slope_db_s + 100)).toBeLessThan(4);
});

test.each([0.06, 0.1, 0.15])(
  'of a decay of %f s in a band of 44 Hz, which falls by much from step to step, three are taken',
  (T) => {
    const decay = decayFromPower((t) => Math.exp(-rateOf(T) * t) + 1e-6, { rate_hz: 8000, end_s: 1 });
    const found = findTruncation(decay, 44)!;
    expect(Math.abs(found.time_s / T - 1)).toBeLessThan(0.06);
    expect(Math.abs(found.late_slope_db_s / (-60 / T) - 1)).toBeLessThan(0.06);
  },
);

test.each([0.3, 0.7])(
  'where the samples end %f of the way into the noise, the noise is that of the tail all the same',
  (into) => {
    // 0.5 s, 40 dB over the noise: met at a third of a second.
    const met_s = 0.5 * (40 / 60);
    const decay = decayFromPower((t) => Math.exp(-rateOf(0.5) * t) + 1e-4, {
      rate_hz: 8000,
      end_s: met_s * (1 + into),
    });
    const found = findTruncation(decay, 700)!;
    expect(found.met_noise).toBe(true);
    expect(Math.abs(found.time_s - met_s)).toBeLessThan(0.01);
    expect(Math.abs(10 * Math.log10(found.noise) + 40)).toBeLessThan(0.5);
  },
);
