import { describe, expect, it } from 'vitest';
import { switchOffs } from '../../src/audio/switch-offs.ts';
import { readNoiseOff } from '../../src/room/noise-off.ts';
import { convolve } from '../../src/signal/fft.ts';
import { t20Spread, t30Spread } from '../../src/statistics/spread-floor.ts';
import { gaussian } from '../signal/sweep-recording.ts';

const RATE_HZ = 16_000;

/** Noise through a room of one slope, on for `on_s` and off for `off_s`, `repeats` times, over noise of its own. */
function take(options: {
  decay_s: number;
  on_s: number;
  off_s: number;
  repeats: number;
  noise_db: number;
  seed: number;
}) {
  const { decay_s, on_s, off_s, repeats } = options;
  const noise = gaussian(options.seed);
  const period = Math.round((on_s + off_s) * RATE_HZ);
  const source = Float64Array.from({ length: period * repeats }, (_, n) => (n % period < on_s * RATE_HZ ? noise() : 0));
  const room = Float64Array.from({ length: Math.round(1.5 * decay_s * RATE_HZ) }, (_, n) => {
    return noise() * 10 ** ((-3 * n) / (RATE_HZ * decay_s));
  });
  const gain = 0.1 / Math.sqrt((RATE_HZ * decay_s) / 13.8155);
  const floor = 0.1 * 10 ** (options.noise_db / 20);
  return convolve(source, room)
    .subarray(0, source.length)
    .map((x) => gain * x + floor * noise());
}

function decaysOf(samples: Float64Array) {
  return switchOffs(samples, RATE_HZ).map((found) => ({ samples, ...found }));
}

describe('switchOffs(samples, rate_hz)', () => {
  it('finds every switch-off within the 20 ms in which 3 dB are lost, and where the noise comes on again', () => {
    const samples = take({ decay_s: 0.4, on_s: 1.5, off_s: 1, repeats: 3, noise_db: -55, seed: 1 });
    const found = switchOffs(samples, RATE_HZ);
    expect(found.length).toBe(3);
    found.forEach((one, i) => {
      expect(Math.abs(one.switch_off_sample / RATE_HZ - (2.5 * i + 1.5))).toBeLessThan(0.02);
      expect(Math.abs(one.end_sample / RATE_HZ - 2.5 * (i + 1))).toBeLessThan(0.05);
    });
  });

  it('takes neither a clap nor talk for one', () => {
    const noise = gaussian(2);
    const clap = Float64Array.from({ length: 3 * RATE_HZ }, (_, n) => {
      const t = n / RATE_HZ - 1;
      return noise() * (t < 0 ? 1e-4 : 1e-4 + 10 ** ((-3 * t) / 0.5));
    });
    const talk = Float64Array.from({ length: 6 * RATE_HZ }, (_, n) => {
      return noise() * (1e-4 + 0.1 * Math.max(0, Math.sin((2 * Math.PI * 3 * n) / RATE_HZ)));
    });
    expect([
      switchOffs(clap, RATE_HZ),
      switchOffs(talk, RATE_HZ),
      switchOffs(new Float64Array(RATE_HZ), RATE_HZ),
    ]).toEqual([[], [], []]);
  });
});

describe('readNoiseOff(decays, options)', () => {
  // ISO 3382-2:2008, clause 7, after Davy, Dunn and Dubout, Acustica 43 (1979): spread of T20 and T30 of n decays at one place.
  // Over 40 rooms of the same true T the mean must lie within four standard errors and 1 % of it. The
  // spread of 40 is itself uncertain by 11 %: three of that above and below, and 10 % for a filter whose statistical bandwidth is not 1.
  it('is unbiased, and spreads as the standard says for n decays', () => {
    const decay_s = 0.4;
    const runs = Array.from({ length: 40 }, (_, k) => {
      const decays = decaysOf(take({ decay_s, on_s: 1, off_s: 0.8, repeats: 3, noise_db: -60, seed: 100 + k }));
      return readNoiseOff(decays, { rate_hz: RATE_HZ, widths: ['octave'] });
    });
    for (const [quantity, rule] of [
      ['t20_s', t20Spread],
      ['t30_s', t30Spread],
    ] as const) {
      for (const centre_hz of [500, 1000, 2000]) {
        const times = runs.map(({ bands }) => bands.find((band) => band.centre_hz === centre_hz)![quantity]!);
        const mean = times.reduce((sum, t) => sum + t, 0) / times.length;
        const spread = Math.sqrt(times.reduce((sum, t) => sum + (t - mean) ** 2, 0) / (times.length - 1));
        const theory = rule({ decay_s, bandwidth_hz: 0.71 * centre_hz, decays: 3, positions: 1 });
        expect(Math.abs(mean - decay_s)).toBeLessThan((4 * spread) / Math.sqrt(times.length) + 0.01 * decay_s);
        expect(spread / theory).toBeLessThan(1.35);
        expect(spread / theory).toBeGreaterThan(0.6);
      }
    }
  });

  it('gives T20 only from 35 dB of range, T30 only from 45, and no quantity that interrupted noise does not hold', () => {
    const at = (noise_db: number) => {
      const decays = decaysOf(take({ decay_s: 0.5, on_s: 1, off_s: 1, repeats: 2, noise_db, seed: 5 }));
      return readNoiseOff(decays, { rate_hz: RATE_HZ, widths: ['octave'] }).bands.find(
        ({ centre_hz }) => centre_hz === 1000,
      )!;
    };
    const [much, some, little] = [at(-50), at(-40), at(-30)];
    expect([much.t20_s !== null, much.t30_s !== null]).toEqual([true, true]);
    expect([some.t20_s !== null, some.t30_s]).toEqual([true, null]);
    expect(some.refusals.t30_s).toMatch(/range \d+ dB, 45 needed/);
    expect([little.t20_s, little.t30_s]).toEqual([null, null]);
    expect(little.refusals.t20_s).toMatch(/range \d+ dB, 35 needed/);
    expect(much.edt_s).toBeNull();
    expect(much.refusals.c50_db).toContain('interrupted noise');
    expect(much.refusals.t20_s).toBeUndefined();
  });

  it('refuses the bass of a dead room, where B T is under 8', () => {
    const decays = decaysOf(take({ decay_s: 0.06, on_s: 1, off_s: 0.5, repeats: 2, noise_db: -60, seed: 6 }));
    const { bands } = readNoiseOff(decays, { rate_hz: RATE_HZ, widths: ['octave'] });
    expect(bands.find(({ centre_hz }) => centre_hz === 63)!.t20_s).toBeNull();
    expect(bands.find(({ centre_hz }) => centre_hz === 2000)!.t20_s).not.toBeNull();
    expect(bands.find(({ centre_hz }) => centre_hz === 8000)!.refusals.t20_s).toContain('rate');
  });

  it('throws without a decay', () => {
    expect(() => readNoiseOff([], { rate_hz: RATE_HZ, widths: ['octave'] })).toThrow('no decay');
  });
});
