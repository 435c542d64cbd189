import { expect, test } from 'vitest';
import { amplitudeToDb, curveToDb, dbToAmplitude, dbToPower, powerToDb } from '../../src/signal/decibels.ts';

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

test('curveToDb gives what powerToDb gives one by one, of a smooth curve, a rough one and one that holds zeros', () => {
  const smooth = (i: number) => 3e-4 * Math.exp(-i / 150) + 1e-9;
  const curves = [
    smooth,
    (i: number) => smooth(i) * (1 + 0.5 * Math.sin(i)),
    (i: number) => (i % 90 === 7 ? 0 : smooth(i)),
  ];
  for (const curve of curves) {
    const powers = Float64Array.from({ length: 2500 }, (_, i) => curve(i));
    const levels = powers.slice();
    curveToDb(levels, 2e-3);
    powers.forEach((power, i) => {
      const level = powerToDb(power / 2e-3);
      if (power > 0) expect(levels[i]! - level).toBeCloseTo(0, 11);
      else expect(levels[i]).toBe(level);
    });
  }
});
