import { expect, test } from 'vitest';
import { readClarity } from '../../src/room/clarity.ts';
import { decayFromPower, rateOf } from './decay-from-power.ts';

// h^2(t) = exp(-kt), k = 13.815511/T: C = 10 lg(exp(k te) - 1), D50 = 1 - exp(-0.05 k), Ts = 1/k. Definitions: Vigran, Building
// Acoustics (2008), formulas 4.4 to 4.6, and ISO 3382-1:2009, Annex A; numbers computed; 0.01 dB, 0.0005, 0.05 ms at 48 kHz.
const TABLE = [
  [0.08, 37.4992, 60.0, 0.9998, 5.7906],
  [0.1, 29.9957, 47.9999, 0.999, 7.2382],
  [0.15, 19.9564, 31.9973, 0.99, 10.8574],
  [0.2, 14.8604, 23.9827, 0.9684, 14.4765],
  [0.3, 9.5424, 15.8895, 0.9, 21.7147],
  [0.4, 6.6496, 11.717, 0.8222, 28.953],
  [0.5, 4.7437, 9.0956, 0.7488, 36.1912],
  [0.6, 3.3491, 7.2506, 0.6838, 43.4294],
  [0.8, 1.3716, 4.7437, 0.5783, 57.9059],
  [1.0, -0.0206, 3.0534, 0.4988, 72.3824],
  [1.5, -2.3292, 0.3715, 0.369, 108.5736],
  [2.0, -3.8454, -1.3206, 0.2921, 144.7648],
  [3.0, -5.8683, -3.5121, 0.2057, 217.1472],
] as const;

test.each(TABLE)('a pure decay of %f s: C50 %f, C80 %f dB, D50 %f, Ts %f ms', (T, c50, c80, d50, ts_ms) => {
  const k = rateOf(T);
  const decay = decayFromPower((t) => Math.exp(-k * t), { rate_hz: 48000, end_s: 1.5 * T });
  const tail = { stop_s: 1.5 * T, noise: 0, missing: Math.exp(-1.5 * k * T) / k };
  const found = readClarity(decay, tail, k)!;
  expect(Math.abs(found.c50_db - c50)).toBeLessThan(0.01);
  expect(Math.abs(found.c80_db - c80)).toBeLessThan(0.01);
  expect(Math.abs(found.d50 - d50)).toBeLessThan(0.0005);
  expect(Math.abs(1000 * found.ts_s - ts_ms)).toBeLessThan(0.05);
  // ISO 3382-1:2009, A.2.3: D50 = 1/(1 + 10^(-C50/10)).
  expect(found.d50).toBeCloseTo(1 / (1 + 10 ** (-found.c50_db / 10)), 10);
});

test('steady noise 25 dB down, taken off and the tail added, changes nothing', () => {
  const k = rateOf(0.6);
  const noise = 10 ** -2.5;
  const stop_s = 0.25;
  const decay = decayFromPower((t) => Math.exp(-k * t) + noise, { rate_hz: 48000, end_s: 1 });
  const found = readClarity(decay, { stop_s, noise, missing: Math.exp(-k * stop_s) / k }, k)!;
  expect(found.c50_db).toBeCloseTo(3.3491, 2);
  expect(found.c80_db).toBeCloseTo(7.2506, 2);
  expect(1000 * found.ts_s).toBeCloseTo(43.4294, 1);
});

test('where the noise taken off is more than there is, nothing is given', () => {
  const decay = decayFromPower(() => 1, { rate_hz: 8000, end_s: 1 });
  expect(readClarity(decay, { stop_s: 0.5, noise: 2, missing: 0 }, 20)).toBeNull();
});

test.each([0.03, 0.06])('a decay that meets the noise after %f s has its late energy from the tail alone', (stop_s) => {
  const k = rateOf(1);
  const decay = decayFromPower((t) => Math.exp(-k * t), { rate_hz: 48000, end_s: stop_s });
  const found = readClarity(decay, { stop_s, noise: 0, missing: Math.exp(-k * stop_s) / k }, k)!;
  expect(found.c50_db).toBeCloseTo(-0.0206, 3);
  expect(found.c80_db).toBeCloseTo(3.0534, 3);
  expect(found.ts_s).toBeCloseTo(1 / k, 6);
});

test.each([
  ['early', 0, (t: number) => (t < 0.05 ? 0 : 1)],
  ['early, once the noise is off', 0.1, (t: number) => (t < 0.05 ? 0 : 1)],
  ['late', 0, (t: number) => (t < 0.04 ? 1 : 0)],
  ['past 80 ms', 0, (t: number) => (t < 0.07 ? 1 : 0)],
  ['past 80 ms, once the noise is off', 0.1, (t: number) => (t < 0.07 ? 10 : 0)],
  [
    'past 50 ms, once the noise is off, though some past 80',
    0.12,
    (t: number) => (t < 0.05 || (t > 0.08 && t < 0.09) ? 1 : 0),
  ],
])('where there is no energy %s, nothing is given', (_, noise, power) => {
  const decay = decayFromPower(power, { rate_hz: 8000, end_s: 0.15 });
  expect(readClarity(decay, { stop_s: 0.15, noise, missing: 0 }, 20)).toBeNull();
});
