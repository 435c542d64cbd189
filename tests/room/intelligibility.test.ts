import { describe, expect, test } from 'vitest';
import {
  indexOfDecays,
  intelligibilityRating,
  MODULATION_HZ,
  modulationOfDecay,
  modulationOfResponse,
  speechTransmissionIndex,
} from '../../src/room/intelligibility.ts';

const seven = <T>(value: T): T[] => Array.from({ length: 7 }, () => value);

describe('speech transmission index (IEC 60268-16, weights for male speech)', () => {
  // Computed from the published formulas: exponential decay, the same time in all octaves, no noise.
  test.each([
    [0.1, 0.9623],
    [0.15, 0.9232],
    [0.2, 0.8876],
    [0.25, 0.856],
    [0.3, 0.8275],
    [0.35, 0.8021],
    [0.4, 0.7779],
    [0.5, 0.7363],
    [0.6, 0.7001],
    [0.7, 0.6683],
    [0.8, 0.6389],
    [1.0, 0.5885],
    [1.2, 0.547],
    [1.5, 0.4979],
    [2.0, 0.4374],
    [2.5, 0.3925],
    [3.0, 0.3571],
  ])('a decay of %d s has the index %d', (time_s, expected) => {
    expect(Math.abs(indexOfDecays(seven(time_s)) - expected)).toBeLessThan(0.0005);
  });

  test.each([
    [0.3, [0.4569, 0.5953, 0.7075, 0.7893, 0.8187]],
    [0.5, [0.4233, 0.5481, 0.6407, 0.7006, 0.7272]],
    [1.0, [0.3585, 0.4636, 0.5304, 0.5653, 0.5803]],
  ])('noise lowers that of %d s', (time_s, expected) => {
    [0, 5, 10, 15, 20].forEach((snr_db, index) => {
      expect(Math.abs(indexOfDecays(seven(time_s), snr_db) - expected[index]!)).toBeLessThan(0.0005);
    });
  });

  test('a room that decays from 0.8 s at 125 Hz to 0.3 s at 8 kHz has 0.7412', () => {
    expect(Math.abs(indexOfDecays([0.8, 0.7, 0.6, 0.5, 0.5, 0.4, 0.3]) - 0.7412)).toBeLessThan(0.0005);
  });

  test('the weights add up to one: equal octaves give back their own index', () => {
    // m = 0.5 is a ratio of 0 dB, an index of one half.
    expect(speechTransmissionIndex(seven(MODULATION_HZ.map(() => 0.5)))).toBeCloseTo(0.5, 12);
    expect(speechTransmissionIndex(seven(MODULATION_HZ.map(() => 1)))).toBeCloseTo(1, 12);
  });
});

describe('modulation transfer', () => {
  // Houtgast, Steeneken and Plomp, Acustica 46 (1980) 60-72; values computed.
  const table: [number, number[]][] = [
    [
      0.5,
      [0.9899, 0.9839, 0.9751, 0.9619, 0.9397, 0.9103, 0.8693, 0.813, 0.7398, 0.6604, 0.5724, 0.4817, 0.4026, 0.3319],
    ],
    [
      1.0,
      [0.9613, 0.9397, 0.9103, 0.8693, 0.8086, 0.7398, 0.6604, 0.5724, 0.4817, 0.4026, 0.3295, 0.265, 0.2148, 0.1732],
    ],
    [
      2.0,
      [0.8676, 0.8086, 0.7398, 0.6604, 0.5663, 0.4817, 0.4026, 0.3295, 0.265, 0.2148, 0.1719, 0.1361, 0.1093, 0.0876],
    ],
  ];
  test.each(table)('of an exponential decay of %d s', (time_s, expected) => {
    MODULATION_HZ.forEach((modulation_hz, index) => {
      expect(Math.abs(modulationOfDecay(time_s, modulation_hz) - expected[index]!)).toBeLessThan(0.0001);
    });
  });

  test('read from a sampled response it is the same', () => {
    const rate_hz = 8000;
    const samples = new Float64Array(rate_hz * 2);
    // Energy falls by 60 dB in 0.5 s.
    for (let i = 0; i < samples.length; i++) samples[i] = Math.exp((-Math.log(1e6) * i) / rate_hz / 0.5 / 2);
    const got = modulationOfResponse(samples, rate_hz);
    got.forEach((value, index) => {
      expect(Math.abs(value - table[0]![1][index]!)).toBeLessThan(0.0005);
    });
  });

  test('silence is refused', () => {
    expect(() => modulationOfResponse(new Float64Array(100), 8000)).toThrow('without energy');
  });
});

test('the words of IEC 60268-16', () => {
  expect([0.3, 0.31, 0.45, 0.5, 0.6, 0.7, 0.75, 0.9].map(intelligibilityRating)).toEqual([
    'bad',
    'poor',
    'poor',
    'fair',
    'fair',
    'good',
    'good',
    'excellent',
  ]);
});
