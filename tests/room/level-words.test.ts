import { expect, test } from 'vitest';
import { amplitudeFactor, energyFactor, loudnessFactor, percentChange } from '../../src/room/level-words.ts';

// Common practice, no source: arithmetic of the decibel.
test('119 ms down to 81 ms is 31.9 % shorter', () => {
  expect(percentChange(81 / 119)).toBeCloseTo(-31.93, 2);
});
test('-16 down to -24 dB is 0.398 in amplitude and 0.158 in energy, not half', () => {
  expect(amplitudeFactor(-8)).toBeCloseTo(0.39811, 5);
  expect(percentChange(amplitudeFactor(-8))).toBeCloseTo(-60.19, 2);
  expect(energyFactor(-8)).toBeCloseTo(0.15849, 5);
  expect(percentChange(energyFactor(-8))).toBeCloseTo(-84.15, 2);
});
test('half the amplitude is 6.0206 dB, half the energy 3.0103 dB', () => {
  expect(amplitudeFactor(-6.0206)).toBeCloseTo(0.5, 6);
  expect(energyFactor(-3.0103)).toBeCloseTo(0.5, 6);
});
test('ten decibels are about half as loud, eight about 43 % quieter', () => {
  // Stevens (1936): the sone doubles for each 10 phon.
  expect(loudnessFactor(-10)).toBe(0.5);
  expect(loudnessFactor(-8)).toBeCloseTo(0.5743, 4);
});
