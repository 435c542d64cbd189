import { describe, expect, test } from 'vitest';
import { bandDecay, energyUntil, meanPower, usableEnd_s } from '../../src/room/band-decay.ts';
import { cutCells } from '../../src/room/cells.ts';
import { decayEnergy, decayPower, rangeOf, timeAtPower } from '../../src/room/decay-model.ts';
import { scatterAbout } from '../../src/room/fit-check.ts';
import { steadyEnd_s } from '../../src/room/steady-end.ts';
import type { Truncation } from '../../src/room/truncation.ts';
import { OCTAVES } from '../../src/signal/bands.ts';
import { decayFromPower, rateOf } from './decay-from-power.ts';
import { gaussianStream } from './simulated-response.ts';

const signal = { band: OCTAVES[4]!, samples: Float64Array.from([1, 2, 3, 4]), rate_hz: 2, zero: 1 };

test('bandDecay sums energy in squared amplitude times seconds', () => {
  const decay = bandDecay(signal, 10);
  expect([...decay.cumulative]).toEqual([0, 0.5, 2.5, 7, 15]);
  // A sample stands for the interval about it: half of the second lies before time zero.
  expect(energyUntil(decay, 0)).toBe(0.5 + 1);
  expect(energyUntil(decay, 0.25)).toBe(2.5);
  expect(energyUntil(decay, 99)).toBe(15);
  expect(meanPower(decay, 0.25, 0.75)).toBe(9);
  expect(meanPower(decay, 1, 1)).toBe(0);
});

test('usableEnd_s leaves off what the reversed filter needs to rise: 1.5 over the bandwidth', () => {
  const long = { ...signal, samples: new Float64Array(12000), rate_hz: 12000, zero: 0 };
  expect(usableEnd_s(bandDecay(long, 1))).toBeCloseTo(1 - 1.5 / 704.592, 3);
});

test('cutCells covers the span without gap, narrow in the decay, few in the noise, and keeps the energy', () => {
  const decay = decayFromPower((t) => Math.exp(-rateOf(0.4) * t) + 1e-5, { rate_hz: 8000, end_s: 2 });
  const cells = cutCells(decay, { start_s: 0.02, crossing_s: 0.33, end_s: 2, bandwidth_hz: 700, slope_db_s: -150 });
  let at = 0.02;
  let energy = 0;
  cells.time_s.forEach((time_s, i) => {
    const width_s = cells.width_s[i]!;
    expect(time_s - width_s / 2).toBeCloseTo(at, 9);
    at += width_s;
    energy += width_s * cells.power[i]!;
  });
  expect(at).toBeCloseTo(2, 3);
  expect(energy / (energyUntil(decay, 2) - energyUntil(decay, 0.02))).toBeCloseTo(1, 9);
  expect(cells.width_s[0]! * 150).toBeCloseTo(1, 1);
  expect(cells.time_s.filter((t) => t > 0.34).length).toBeLessThanOrEqual(16);
});

test('growing cells of the noise cover the same span from the width of the decay cells on, each 15 % wider', () => {
  const decay = decayFromPower((t) => Math.exp(-rateOf(0.4) * t) + 1e-5, { rate_hz: 8000, end_s: 4 });
  const cut = { start_s: 0.02, crossing_s: 0.33, end_s: 4, bandwidth_hz: 700, slope_db_s: -150 };
  const { time_s, width_s } = cutCells(decay, { ...cut, noise: 'growing' });
  const even = cutCells(decay, cut);
  const first = even.time_s.findIndex((t) => t > 0.33);
  expect(width_s.subarray(0, first)).toEqual(even.width_s.subarray(0, first));
  expect(width_s[first]! / width_s[0]!).toBeGreaterThan(0.99);
  expect(width_s[first]! / width_s[0]!).toBeLessThan(1.16);
  for (let i = first + 1; i < width_s.length; i++) expect(width_s[i]! / width_s[i - 1]!).toBeCloseTo(1.15, 6);
  expect(time_s.at(-1)! + width_s.at(-1)! / 2).toBeCloseTo(4, 9);
});

test('a decay model: power, energy to infinity, the time of a level and the range', () => {
  const model = { slopes: [{ amplitude: 2, rate: rateOf(0.5) }], noise: 2e-5 };
  expect(decayPower(model, 0.25)).toBeCloseTo(2e-3, 12);
  expect(decayEnergy(model, 0)).toBeCloseTo(2 / rateOf(0.5), 12);
  expect(timeAtPower(model, 2e-3)).toBeCloseTo(0.25, 5);
  expect(timeAtPower(model, 3)).toBe(0);
  expect(rangeOf(model, 5)).toBeCloseTo(50, 9);
  expect(rangeOf(model, 0.25)).toBeCloseTo(30, 9);
});

test('scatterAbout is 1 about the true model for chi-square energies, and large about a wrong one', () => {
  const mean = (t: number) => Math.exp(-rateOf(0.4) * t) + 1e-5;
  const model = { slopes: [{ amplitude: 1, rate: rateOf(0.4) }], noise: 1e-5 };
  const wrong = { slopes: [{ amplitude: 1, rate: rateOf(0.6) }], noise: 1e-5 };
  let [right, off] = [0, 0];
  for (let seed = 1; seed <= 40; seed++) {
    const draw = gaussianStream(seed);
    const decay = decayFromPower((t) => (mean(t) * (draw() ** 2 + draw() ** 2)) / 2, { rate_hz: 700, end_s: 1 });
    const cells = cutCells(decay, { start_s: 0.02, crossing_s: 0.33, end_s: 1, bandwidth_hz: 700, slope_db_s: -150 });
    const options = { bandwidth_hz: 700, until_s: 0.33 };
    // The truth has no fitted parameters: the two that are taken off make the mean square a tenth larger.
    right += scatterAbout(model, cells, options).dispersion / 40;
    off += scatterAbout(wrong, cells, options).dispersion / 40;
  }
  expect(right).toBeGreaterThan(0.9);
  expect(right).toBeLessThan(1.3);
  expect(off).toBeGreaterThan(4);
});

test('steadyEnd_s keeps steady noise whole and cuts noise that rises by 6 dB on the way', () => {
  const truncation = { time_s: 0.3, noise: 1e-5, late_level_db: 0, late_slope_db_s: -150, met_noise: true };
  const noisy = (level: (t: number) => number, seed: number) => {
    const draw = gaussianStream(seed);
    return decayFromPower((t) => (level(t) * (draw() ** 2 + draw() ** 2)) / 2, { rate_hz: 700, end_s: 2 });
  };
  let whole = 0;
  for (let seed = 1; seed <= 20; seed++) {
    if (
      steadyEnd_s(
        noisy(() => 1e-5, seed),
        truncation,
        700,
      ) > 1.99
    )
      whole++;
    expect(
      steadyEnd_s(
        noisy((t) => 1e-5 * 4 ** (t / 2), seed),
        truncation,
        700,
      ),
    ).toBeLessThan(1.3);
  }
  expect(whole).toBeGreaterThanOrEqual(19);
});

describe('steadyEnd_s, where the noise has no chance in it', () => {
  const met = { time_s: 0.3, noise: 1e-5, late_level_db: 0, late_slope_db_s: -150, met_noise: true };
  const ends = (power: (t: number) => number, statistical_hz: number, truncation: Truncation = met) =>
    steadyEnd_s(decayFromPower(power, { rate_hz: 3000, end_s: 2 }), truncation, statistical_hz);
  // The window opens where the decay is 10 dB under the noise.
  const start_s = 0.3 + 10 / 150;
  const half = (times: number) => start_s + (2 - start_s) / 2 ** times;

  test('halves the window until its halves are alike', () => {
    const step = (t: number) => (t < 1 ? 1e-5 : 4e-5);
    expect(ends(step, 700)).toBeCloseTo(half(2), 3);
    expect(ends((t) => 1e-9 / step(t), 700)).toBeCloseTo(half(2), 3);
    expect(ends(step, 700, { ...met, met_noise: false })).toBeCloseTo(2, 3);
    // What comes before the window, the decay, is not looked at.
    expect(ends((t) => (t < start_s - 0.01 ? 1 : 1e-5), 700)).toBeCloseTo(2, 3);
  });

  test('leaves a fifth of the decay, or eight over the bandwidth where that is longer', () => {
    const rising = (t: number) => 10 ** (20 * t - 40);
    expect(ends(rising, 700)).toBeCloseTo(half(4), 3); // halves of 0.051 s, under 0.06
    expect(ends(rising, 60)).toBeCloseTo(half(3), 3); // halves of 0.102 s, under 8 / 60
    expect(ends(rising, 700, { ...met, time_s: 0.05 })).toBeCloseTo(start_s - 0.25 + (2.25 - start_s) / 64, 3); // 0.014, over 8 / 700
  });

  test('lets half a decibel pass, and what chance makes of three standard deviations', () => {
    // A step in the middle. Of 0.816 s at 700 Hz chance makes 0.26 dB, three times that 0.77; at 20 Hz 1.52, 4.56.
    const step = (db: number) => (t: number) => 1e-5 * (t < half(1) ? 1 : 10 ** (db / 10));
    expect(ends(step(0.45), 1e6)).toBeCloseTo(2, 3);
    expect(ends(step(0.55), 1e6)).toBeCloseTo(half(1), 3);
    expect(ends(step(0.7), 700)).toBeCloseTo(2, 3);
    expect(ends(step(0.85), 700)).toBeCloseTo(half(1), 3);
    expect(ends(step(-4.3), 20)).toBeCloseTo(2, 3);
    expect(ends(step(-4.8), 20)).toBeCloseTo(half(1), 3);
  });
});
