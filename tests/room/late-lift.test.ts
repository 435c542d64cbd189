import { describe, expect, test } from 'vitest';
import { lateLift } from '../../src/room/late-lift.ts';
import { readResponse } from '../../src/room/read-response.ts';
import { gaussianStream, simulateResponse } from './simulated-response.ts';

const RATE_HZ = 16_000;
const T_S = 0.4;

/** The decay of one place, its noise drawn anew for each clap; the level of every clap differs. */
function clap(seed: number, change: (sample: number, time_s: number) => number = (sample) => sample) {
  const { clean, zero_sample } = simulateResponse({ seed: 1, decay_time_s: T_S, range_db: 55, rate_hz: RATE_HZ });
  const draw = gaussianStream(100 + seed);
  const gain = 10 ** (((seed % 5) - 2) / 10);
  const samples = clean.map(
    (value, i) => gain * change(value, (i - zero_sample) / RATE_HZ) + 10 ** (-55 / 20) * draw(),
  );
  return readResponse(samples, { rate_hz: RATE_HZ, zero_sample, widths: ['octave'] }).levels;
}

/** Another sound of the same decay, so many dB down, from a moment on. */
function second(level_db: number, from_s: number, seed: number) {
  const other = simulateResponse({ seed: 900 + seed, decay_time_s: T_S, range_db: 90, rate_hz: RATE_HZ });
  return (value: number, time_s: number) => {
    const at = other.zero_sample + Math.round((time_s - from_s) * RATE_HZ);
    return value + (time_s < from_s ? 0 : 10 ** (level_db / 20) * (other.clean[at] ?? 0));
  };
}

describe('another sound in a decay shows beside the other claps of a take', () => {
  test.each([
    [-10, 0.08],
    [-15, 0.1],
    [-15, 0.15],
    [-20, 0.15],
  ])('%d dB down after %d s, beside three claps and beside one', (level_db, from_s) => {
    for (let seed = 1; seed <= 5; seed++) {
      const odd = clap(seed, second(level_db, from_s, seed));
      const siblings = [1, 2, 3].map((k) => clap(10 * seed + k));
      for (const others of [siblings, siblings.slice(0, 1)]) {
        const lift = lateLift(odd, others);
        expect(lift, `seed ${seed}`).not.toBeNull();
        expect(Math.abs(lift!.after_s - from_s)).toBeLessThan(0.03);
        expect(lift!.lift_db).toBeGreaterThan(1.2);
      }
      expect(lateLift(siblings[0]!, [odd, siblings[1]!, siblings[2]!])).toBeNull();
    }
  });

  test('claps that differ by level and noise only are not accused, nor what all of them share', () => {
    const echo = second(-10, 0.1, 77);
    for (const change of [undefined, echo]) {
      const claps = Array.from({ length: 8 }, (_, k) => clap(40 + k, change));
      for (const own of claps) {
        expect(
          lateLift(
            own,
            claps.filter((other) => other !== own),
          ),
        ).toBeNull();
        expect(lateLift(own, [claps.find((other) => other !== own)!])).toBeNull();
      }
    }
  });

  test('a clap that falls a little more slowly throughout is another matter', () => {
    const slower = clap(3, (value, time_s) => value * 10 ** (3 * Math.max(0, time_s) * (1 / T_S - 1 / (1.06 * T_S))));
    expect(lateLift(slower, [clap(51), clap(52), clap(53)])).toBeNull();
  });

  test('alone, nothing can be told', () => {
    expect(lateLift(clap(1, second(-10, 0.1, 1)), [])).toBeNull();
  });
});
