import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { convolve, spectrumOf } from '../../src/signal/fft.ts';
import {
  DEFAULT_SWEEP,
  exponentialSweep,
  harmonicAdvance_s,
  inverseSweep,
  type SweepDescription,
  sweepDescriptionSchema,
  sweepFrequency_hz,
  sweepSignal,
  sweepTimeConstant_s,
} from '../../src/signal/sweep.ts';

function sweepOf(f1_hz: number, f2_hz: number, duration_s: number): SweepDescription {
  return { ...DEFAULT_SWEEP, f1_hz, f2_hz, duration_s, fade_in_s: 0, fade_out_s: 0, level_dbfs: 0 };
}

// L = T / ln(f2 / f1), harmonic k ahead by L ln k: Farina, AES 108th Convention, Paris 2000, preprint 5093; figures computed.
describe.each([
  [20, 20_000, 10, 1.447648, [1.003433, 1.590404, 2.006867, 2.3299], -60],
  [20, 20_000, 5, 0.723824, [0.501717, 0.795202, 1.003433, 1.16495], -60],
  [50, 16_000, 8, 1.386885, [0.961316, 1.523649, 1.922631, 2.232106], -50.103],
  [50, 20_000, 5, 0.834521, [0.578446, 0.916814, 1.156891, 1.343109], -52.041],
])('a sweep from %d to %d Hz in %d s', (f1_hz, f2_hz, duration_s, constant_s, advances_s, range_db) => {
  const sweep = sweepOf(f1_hz, f2_hz, duration_s);

  it(`rises by the factor e in ${constant_s} s`, () => {
    expect(Math.abs(sweepTimeConstant_s(sweep) - constant_s)).toBeLessThan(1e-6);
  });

  it('leaves its harmonics ahead by L ln k', () => {
    advances_s.forEach((advance_s, i) => {
      expect(Math.abs(harmonicAdvance_s(sweep, i + 2) - advance_s)).toBeLessThan(1e-6);
    });
  });

  it(`has an inverse whose amplitude falls by ${-range_db} dB from the top of the sweep to its bottom`, () => {
    const at = { rate_hz: 48_000, top_hz: f2_hz };
    const sine = exponentialSweep(sweep, at).reverse();
    const inverse = inverseSweep(sweep, at);
    const gain = (from: number) => {
      let [num, den] = [0, 0];
      for (let n = from; n < from + 20; n += 1) [num, den] = [num + inverse[n]! ** 2, den + sine[n]! ** 2];
      return 10 * Math.log10(num / den);
    };
    // 20 samples in the middle of each end: the law is smooth there to within 0.01 dB.
    expect(Math.abs(gain(inverse.length - 21) - gain(1) - range_db)).toBeLessThan(0.01);
  });
});

interface ScipyCase {
  f1_hz: number;
  f2_hz: number;
  duration_s: number;
  rate_hz: number;
  index: number[];
  value: number[];
}

describe('exponentialSweep(sweep, at)', () => {
  // tests/reference/scipy-sweep.py: scipy.signal.chirp(method='logarithmic', phi=-90). Phases of up to 1.8e5 rad leave 1e-9 of rounding.
  it('is the logarithmic chirp of scipy', () => {
    const file = join(import.meta.dirname, '..', 'reference', 'scipy-sweep.json');
    const { cases } = JSON.parse(readFileSync(file, 'utf8')) as { cases: ScipyCase[] };
    expect(cases.length).toBe(3);
    for (const { f1_hz, f2_hz, duration_s, rate_hz, index, value } of cases) {
      const samples = exponentialSweep(sweepOf(f1_hz, f2_hz, duration_s), { rate_hz, top_hz: f2_hz });
      index.forEach((n, i) => {
        expect(Math.abs(samples[n]! - value[i]!)).toBeLessThan(1e-7);
      });
    }
  });

  // f1 exp(t / L) at quarters of a sweep from 20 Hz to 20 kHz in 10 s (Farina 2000; computed).
  it.each([
    [0, 20],
    [2.5, 112.468],
    [5, 632.456],
    [7.5, 3556.559],
    [10, 20_000],
  ])('passes after %d s through %d Hz', (time_s, hz) => {
    expect(Math.abs(sweepFrequency_hz(sweepOf(20, 20_000, 10), time_s) - hz)).toBeLessThan(0.001);
  });

  it('has, counted in zero crossings, the frequency that the law gives', () => {
    const samples = exponentialSweep(sweepOf(20, 20_000, 10), { rate_hz: 48_000 });
    let crossings = 0;
    for (let n = 5 * 48_000 - 4800; n < 5 * 48_000 + 4800; n += 1)
      if (samples[n]! < 0 !== samples[n + 1]! < 0) crossings += 1;
    // Mean of f over 0.2 s about 5 s: f L (exp(0.1 / L) - exp(-0.1 / L)) / 0.2 = 632.96 Hz; one crossing more or less is 2.5 Hz.
    expect(Math.abs(crossings / 2 / 0.2 - 632.96)).toBeLessThan(2.6);
  });

  it('starts and ends in silence, and peaks at the stated level', () => {
    const samples = exponentialSweep({ ...DEFAULT_SWEEP, duration_s: 2, level_dbfs: -12 }, { rate_hz: 48_000 });
    const peak = samples.reduce((most, x) => Math.max(most, Math.abs(x)), 0);
    expect(Math.abs(20 * Math.log10(peak) + 12)).toBeLessThan(0.001);
    expect(Math.abs(samples[0]!)).toBe(0);
    expect(Math.abs(samples.at(-1)!)).toBeLessThan(1e-3 * peak);
  });

  it('holds as many turns at a stretched clock, over a longer time', () => {
    const sweep = sweepOf(50, 10_000, 2);
    const plain = exponentialSweep(sweep, { rate_hz: 48_000, top_hz: 10_000 });
    const stretched = exponentialSweep(sweep, { rate_hz: 48_000, stretch: 1.001, top_hz: 10_000 / 1.001 });
    // 0.1 % of 96000 samples, each length rounded down.
    expect(Math.abs(stretched.length - plain.length - 96)).toBeLessThanOrEqual(1);
    for (const n of [10_000, 50_000])
      expect(Math.abs(stretched[Math.round(n * 1.001)]! - plain[n]!)).toBeLessThan(1e-6);
  });

  it('refuses a rate that holds nothing of it', () => {
    expect(() => exponentialSweep(sweepOf(5000, 20_000, 2), { rate_hz: 8000 })).toThrow('nothing below');
  });
});

describe('inverseSweep(sweep, at)', () => {
  // Farina 2000: sweep and inverse convolve to a band-limited pulse. Scale by stationary phase, so the passband is at 0 dB;
  // half a dB of ripple is left where the fades and the sharp ends reach in.
  it.each([44_100, 48_000, 96_000])('brings the sweep to gain 1 in the band at %d Hz', (rate_hz) => {
    const sweep: SweepDescription = { ...DEFAULT_SWEEP, duration_s: 3, f1_hz: 40, f2_hz: 16_000 };
    const pulse = convolve(exponentialSweep(sweep, { rate_hz }), inverseSweep(sweep, { rate_hz }));
    const spectrum = spectrumOf(pulse);
    for (const hz of [63, 125, 250, 500, 1000, 2000, 4000, 8000, 12_000]) {
      const [from, to] = [hz * 0.97, hz * 1.03].map((f) => Math.round((f * spectrum.length) / 2 / rate_hz));
      let power = 0;
      for (let k = from!; k < to!; k += 1) power += (spectrum[2 * k]! ** 2 + spectrum[2 * k + 1]! ** 2) / (to! - from!);
      expect(Math.abs(10 * Math.log10(power))).toBeLessThan(0.5);
    }
  });
});

describe('sweepSignal(sweep)', () => {
  it('is the lead-in, then each sweep and its tail', () => {
    const sweep = { ...DEFAULT_SWEEP, duration_s: 2, tail_s: 1, lead_in_s: 0.5, repeats: 2, rate_hz: 44_100 };
    const samples = sweepSignal(sweep);
    expect(samples.length).toBe(22_050 + 2 * 3 * 44_100);
    expect(samples.subarray(0, 22_050).every((x) => x === 0)).toBe(true);
    expect(samples.subarray(22_050 + 2.001 * 44_100, 22_050 + 3 * 44_100).every((x) => x === 0)).toBe(true);
    expect(samples[22_050 + 30_000]).toBe(samples[22_050 + 3 * 44_100 + 30_000]);
    expect(samples[22_050 + 30_000]).not.toBe(0);
  });
});

describe('sweepDescriptionSchema', () => {
  it('takes the default sweep as it is', () => {
    expect(sweepDescriptionSchema.parse(JSON.parse(JSON.stringify(DEFAULT_SWEEP)))).toEqual(DEFAULT_SWEEP);
  });

  it.each([
    [{ f1_hz: 10_000 }, 'an octave above f1_hz'],
    [{ rate_hz: 32_000 }, 'below half of rate_hz'],
    [{ fade_in_s: 7 }, 'half of the sweep'],
    [{ format: 'other/1' }, 'decaybook-sweep/1'],
    [{ duration_s: 120 }, '60'],
  ])('refuses %j', (change, words) => {
    const parsed = sweepDescriptionSchema.safeParse({ ...DEFAULT_SWEEP, ...change });
    expect(parsed.error?.issues.map(({ message }) => message).join()).toContain(words);
  });
});
