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

describe('in levels without chance', () => {
  /** One band of a clap: its level over that of its siblings, cell by cell. */
  const band = (level_db: readonly number[], centre_hz = 500, cell_s = 0.01) => ({
    centre_hz,
    cell_s,
    level_db: Float64Array.from(level_db),
  });
  const bands = (level_db: readonly number[], cell_s = 0.01) => [500, 1000].map((hz) => band(level_db, hz, cell_s));
  const cells = (count: number, of: (i: number) => number) => Array.from({ length: count }, (_, i) => of(i));
  const silent = (count: number, cell_s = 0.01) => [
    bands(
      cells(count, () => 0),
      cell_s,
    ),
  ];
  const step = (count: number, from: number, db: number) => cells(count, (i) => 2 + (i < from ? 0 : db));

  test('a lift of 1.2 dB and more is found where and as high as it is, and no drop', () => {
    const found = lateLift(bands(step(40, 20, 1.25)), silent(40))!;
    expect(found.lift_db).toBeCloseTo(1.25, 9);
    expect(Math.abs(found.after_s - 0.2)).toBeLessThan(0.0051);
    expect(lateLift(bands(step(40, 20, 1.15)), silent(40))).toBeNull();
    expect(lateLift(bands(step(40, 20, -5)), silent(40))).toBeNull();
  });

  test('the lift is the mean over the bands', () => {
    const found = lateLift([band(step(40, 20, 2)), band(step(40, 20, 4), 1000)], silent(40))!;
    expect(found.lift_db).toBeCloseTo(3, 9);
  });

  test('it is five standard errors, of the cells and of the bands', () => {
    // Before and after three cells each of 0.3 dB: variance 0.06, and 0.09 of the band; of two bands 0.075, five times its root 1.369.
    expect(lateLift(bands(step(6, 3, 1.36)), silent(6))).toBeNull();
    expect(lateLift(bands(step(6, 3, 1.38)), silent(6))!.lift_db).toBeCloseTo(1.38, 9);
    // Neighbours 2 dB apart: 2.1 dB a cell, 20 and 20 of them, so that five standard errors are 2.577 dB.
    const uneven = (db: number) => step(40, 20, db).map((level, i) => level + (i % 2 ? 1 : -1));
    expect(lateLift(bands(uneven(2.5)), silent(40))).toBeNull();
    expect(lateLift(bands(uneven(2.65)), silent(40))!.lift_db).toBeCloseTo(2.65, 9);
  });

  test('a drift explains more of a drift than a step does', () => {
    expect(lateLift(bands(cells(40, (i) => i / 4)), silent(40))).toBeNull();
    expect(lateLift(bands(cells(40, (i) => (i < 20 ? 0 : 5) + i / 40)), silent(40))).not.toBeNull();
  });

  test('nothing is told of one band, of a band the others lack, or of fewer than six cells', () => {
    const own = bands(step(40, 20, 5));
    expect(lateLift(own.slice(1), silent(40))).toBeNull();
    expect(lateLift(own, [silent(40)[0]!.slice(1)])).toBeNull();
    expect(lateLift(own, [[]])).toBeNull();
    expect(lateLift(own, [])).toBeNull();
    expect(lateLift(bands(step(5, 3, 9)), silent(5))).toBeNull();
    expect(lateLift(bands(step(40, 3, 9)), silent(5))).toBeNull();
  });

  test('it begins after two cells at the earliest and three before the end at the latest', () => {
    expect(Math.round(lateLift(bands(step(40, 1, 9), 0.03), silent(40, 0.03))!.after_s / 0.03)).toBe(2);
    expect(Math.round(lateLift(bands(step(40, 38, 30)), silent(40))!.after_s / 0.01)).toBe(37);
  });
});
