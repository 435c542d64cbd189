import { describe, expect, test } from 'vitest';
import { firstReflections } from '../../src/room/image-sources.ts';
import { readEarly } from '../../src/room/reflections.ts';
import { addPulse, imageResponse } from './image-response.ts';
import { gaussianStream, simulateResponse } from './simulated-response.ts';

test('two reflections are listed with delay, path at 343 m/s and level; one 26 dB down is not', () => {
  const samples = new Float64Array(9600);
  addPulse(samples, 1000, 1);
  addPulse(samples, 1000 + 240.5, 0.5);
  addPulse(samples, 1000 + 720, 0.2);
  addPulse(samples, 1000 + 1500, 0.05);
  const { reflections } = readEarly(samples, 48000, 998);
  expect(reflections).toHaveLength(2);
  expect(reflections[0]!.delay_s * 1000).toBeCloseTo(240.5 / 48, 1);
  // 343 m/s: 331 + 0.6 t at 20 degrees Celsius, ISO 354:2003, 8.1.2.1.
  expect(reflections[0]!.extra_path_m).toBeCloseTo((343 * 240.5) / 48000, 1);
  // The ripple of the direct sound at the edge of the pass-band adds or takes 0.2 dB.
  expect(Math.abs(reflections[0]!.level_db + 6.02)).toBeLessThan(0.2);
  expect(reflections[1]!.delay_s * 1000).toBeCloseTo(15, 1);
  expect(Math.abs(reflections[1]!.level_db + 13.98)).toBeLessThan(0.2);
});

test('the curve covers 50 ms in at most 400 steps, 0 dB near the direct sound', () => {
  const samples = new Float64Array(9600);
  addPulse(samples, 1000, 0.3);
  const { early } = readEarly(samples, 48000, 998);
  expect(early.level_db.length * early.step_s).toBeCloseTo(0.05, 6);
  expect(early.level_db.length).toBeLessThanOrEqual(400);
  expect(Math.max(...Array.from(early.level_db))).toBeGreaterThan(-3);
  expect(Math.max(...Array.from(early.level_db))).toBeLessThanOrEqual(0);
});

test('silence and a response cut after the direct sound give an empty list', () => {
  expect(readEarly(new Float64Array(4800), 48000, 100)).toMatchObject({ early: { level_db: [] }, reflections: [] });
  const short = new Float64Array(300);
  addPulse(short, 100, 1);
  expect(readEarly(short, 48000, 98).reflections).toEqual([]);
});

const APART_S = 0.001;

// Image sources (Allen and Berkley, J. Acoust. Soc. Am. 65, 1979, 943), every face reflecting three quarters of the amplitude.
test.each([
  [
    [5.2, 3.6, 2.6],
    [3.9, 2.4, 1.5],
    [2.1, 1.2, 1.4],
  ],
  [
    [4.1, 3.2, 2.4],
    [3, 1.2, 1.5],
    [1.2, 2.2, 1.2],
  ],
  [
    [6.5, 4.2, 2.8],
    [1, 1.5, 1.2],
    [4.8, 2.9, 1.2],
  ],
  [
    [3.4, 2.7, 2.5],
    [2.3, 1.8, 1.4],
    [1.1, 0.9, 1.1],
  ],
] as const)(
  'of a box %j the six first reflections are found, and fewer than twenty in all',
  (edges_m, source, microphone) => {
    const [length_m, width_m, height_m] = edges_m;
    const rate_hz = 48000;
    const { samples, zero_sample, delays_s } = imageResponse({
      edges_m,
      source,
      microphone,
      reflection: 0.75,
      rate_hz,
    });
    const { reflections } = readEarly(samples, rate_hz, zero_sample);
    const box = { length_m, width_m, height_m };
    for (const { delay_s, hard_level_db } of firstReflections({ box, source, microphone, speed_m_s: 343 })!) {
      const near = reflections.filter((reflection) => Math.abs(reflection.delay_s - delay_s) < APART_S);
      expect(near.length, `${(delay_s * 1000).toFixed(1)} ms`).toBeGreaterThan(0);
      // Others that arrive with it add to its level or take from it.
      const alone = delays_s.filter((other) => Math.abs(other - delay_s) < APART_S).length === 1;
      const level_db = hard_level_db + 20 * Math.log10(0.75);
      if (alone) expect(Math.min(...near.map((found) => Math.abs(found.level_db - level_db)))).toBeLessThan(1);
    }
    expect(reflections.length).toBeLessThan(20);
    const gaps = reflections.slice(1).map((next, i) => next.delay_s - reflections[i]!.delay_s);
    expect(Math.min(...gaps)).toBeGreaterThanOrEqual(APART_S);
  },
);

test('a diffuse decay has no reflections: fewer than two a response stand out by chance', () => {
  let listed = 0;
  for (let seed = 1; seed <= 50; seed++) {
    const { samples, zero_sample, rate_hz } = simulateResponse({ seed, decay_time_s: 0.4, range_db: 60 });
    samples[zero_sample] = 5;
    listed += readEarly(samples, rate_hz, zero_sample).reflections.length;
  }
  expect(listed / 50).toBeLessThan(2);
});

describe('pulses after a direct sound', () => {
  const RATE_HZ = 48000;
  const at = (pulses: readonly (readonly [delay_ms: number, level_db: number])[], rate_hz = RATE_HZ) => {
    const samples = new Float64Array(0.2 * rate_hz);
    const zero = 0.02 * rate_hz;
    addPulse(samples, zero, 1);
    for (const [delay_ms, level_db] of pulses)
      addPulse(samples, zero + (delay_ms * rate_hz) / 1000, 10 ** (level_db / 20));
    return readEarly(samples, rate_hz, zero);
  };
  const listed = (...given: Parameters<typeof at>) =>
    at(...given).reflections.map(({ delay_s }) => Math.round(delay_s * 1e4) / 10);

  test('show in the curve when they arrive, as strong as they are', () => {
    const { level_db, step_s } = at([
      [10, -12],
      [30, -6],
    ]).early;
    expect(step_s).toBe(0.000125);
    expect(level_db).toHaveLength(400);
    const levels = Array.from(level_db);
    const strongest = (from_ms: number, to_ms: number) => {
      const part = levels.slice(from_ms * 8, to_ms * 8);
      const most = Math.max(...part);
      return { ms: from_ms + part.indexOf(most) / 8, most };
    };
    const [direct, first, second] = [strongest(0, 2), strongest(5, 15), strongest(25, 35)];
    expect(Math.abs(first.ms - 10)).toBeLessThan(0.3);
    expect(Math.abs(second.ms - 30)).toBeLessThan(0.3);
    expect(Math.abs(first.most - direct.most + 12)).toBeLessThan(1.5);
    expect(Math.abs(second.most - direct.most + 6)).toBeLessThan(1.5);
    expect(Math.max(...levels.slice(18 * 8, 25 * 8))).toBeLessThan(-40);
    expect(Math.min(...levels)).toBeGreaterThanOrEqual(-120);
  });

  test('are listed from 1 ms to 50 ms after it', () => {
    expect(
      listed([
        [0.7, -6],
        [1.5, -6],
        [49, -6],
        [51.5, -6],
      ]),
    ).toEqual([1.5, 49]);
  });

  test('count as one where they are less than 1 ms apart, with the delay of the stronger', () => {
    expect(
      listed([
        [10, -9],
        [10.7, -4],
      ]),
    ).toEqual([10.7]);
    expect(
      listed([
        [10, -4],
        [10.7, -9],
      ]),
    ).toEqual([10]);
    expect(
      listed([
        [10, -9],
        [11.5, -4],
      ]),
    ).toEqual([10, 11.5]);
  });

  test('are found as well at a rate that does not hold 8 kHz', () => {
    const found = at(
      [
        [10, -12],
        [30, -6],
      ],
      16000,
    ).reflections;
    expect(found.map(({ delay_s }) => Math.round(delay_s * 1000))).toEqual([10, 30]);
    expect(Math.abs(found[0]!.level_db + 12)).toBeLessThan(0.5);
  });

  test('do not stand out of a diffuse sound less than 10 dB under them', () => {
    const draw = gaussianStream(5);
    const of = (level_db: number) => {
      const samples = Float64Array.from({ length: 9600 }, (_, i) => (i < 970 ? 0 : 10 ** (level_db / 20) * draw()));
      addPulse(samples, 960, 1);
      addPulse(samples, 960 + 960, 0.3);
      return readEarly(samples, RATE_HZ, 960).reflections.some(({ delay_s }) => Math.abs(delay_s - 0.02) < 0.0003);
    };
    expect(of(-50)).toBe(true);
    expect(of(-5)).toBe(false);
  });

  test('the curve ends with the response', () => {
    const samples = new Float64Array(1000 + 480);
    addPulse(samples, 1000, 1);
    expect(readEarly(samples, RATE_HZ, 1000).early.level_db).toHaveLength(80);
  });
});
