import { expect, test } from 'vitest';
import { amplitudeToDb, dbToAmplitude, dbToPower, powerToDb } from '../../src/signal/decibels.ts';

// Definitions of the decibel (IEC 60027-3); the figures follow from the logarithm.
test('a fall of 8 dB leaves 0.39811 of the amplitude and 0.15849 of the energy', () => {
  expect(dbToAmplitude(-8)).toBeCloseTo(0.39811, 5);
  expect(dbToPower(-8)).toBeCloseTo(0.15849, 5);
});

test('half the amplitude is 6.0206 dB down, half the energy 3.0103 dB', () => {
  expect(amplitudeToDb(0.5)).toBeCloseTo(-6.0206, 4);
  expect(powerToDb(0.5)).toBeCloseTo(-3.0103, 4);
});

test('amplitudeToDb ignores the sign, and nothing is minus infinity dB', () => {
  expect(amplitudeToDb(-2)).toBe(amplitudeToDb(2));
  expect(powerToDb(0)).toBe(Number.NEGATIVE_INFINITY);
});
