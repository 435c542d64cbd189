import { describe, expect, test } from 'vitest';
import {
  noiseReductionCoefficient,
  practicalCoefficient,
  soundAbsorptionAverage,
  weightedRating,
} from '../../src/room/ratings.ts';

describe('noise reduction coefficient (ASTM C423)', () => {
  // Coefficients as printed in a handbook table of absorption coefficients (table 27.1), NRC by the rule of ASTM C423.
  test.each([
    ['heavy carpet on concrete', [0.06, 0.14, 0.37, 0.6], 0.3],
    ['heavy carpet on felt', [0.24, 0.57, 0.69, 0.71], 0.55],
    ['coarse concrete block', [0.44, 0.31, 0.29, 0.39], 0.35],
    ['medium velour, half area', [0.31, 0.49, 0.75, 0.7], 0.55],
    ['heavy velour, half area', [0.35, 0.55, 0.72, 0.7], 0.6],
    ['light velour, straight', [0.04, 0.11, 0.17, 0.24], 0.15],
    ['latex-backed carpet', [0.27, 0.39, 0.34, 0.48], 0.35],
    // The standard's own halves: 0.625 goes to 0.65 and 0.675 to 0.70.
    ['a half case', [0.5, 0.6, 0.7, 0.7], 0.65],
    ['another half case', [0.5, 0.7, 0.75, 0.75], 0.7],
  ] as const)('%s', (_name, alphas, expected) => {
    expect(noiseReductionCoefficient(alphas)).toBe(expected);
  });
  test('is not capped', () => {
    expect(noiseReductionCoefficient([0.9, 1.1, 1.15, 1.1])).toBe(1.05);
  });
});

test('sound absorption average of the twelve thirds (ASTM C423): mean 0.756667 is 0.76', () => {
  const thirds = [0.28, 0.34, 0.47, 0.62, 0.79, 0.88, 0.95, 0.99, 0.97, 0.95, 0.93, 0.91];
  expect(soundAbsorptionAverage(thirds)).toBe(0.76);
  expect(() => soundAbsorptionAverage([0.5])).toThrow('twelve');
});

test('practical coefficient (ISO 11654:1997, 4.1): to 0.05, at most 1', () => {
  expect(practicalCoefficient([0.9, 0.92, 0.94])).toBe(0.9);
  expect(practicalCoefficient([0.71, 0.72, 0.745])).toBe(0.75);
  expect(practicalCoefficient([0.7, 0.72, 0.75])).toBe(0.7);
  expect(practicalCoefficient([1.05, 1.1, 1.12])).toBe(1);
});

describe('weighted coefficient, shape and class (ISO 11654:1997, 4.2, 4.3, annex B)', () => {
  // Computed by hand in twentieths from the reference curve 0.80 1.00 1.00 1.00 0.90.
  test.each([
    [[0.4, 0.8, 0.95, 0.9, 0.8], 0.7, 'M', 'C'],
    [[0.2, 0.5, 0.85, 1.0, 1.0], 0.5, 'MH', 'D'],
    [[0.8, 1.0, 1.0, 1.0, 0.9], 1.0, '', 'A'],
    [[0.35, 0.65, 0.9, 0.7, 0.4], 0.55, 'M', 'D'],
    [[0.1, 0.2, 0.45, 0.8, 0.95], 0.3, 'H', 'D'],
    [[0.9, 0.55, 0.35, 0.25, 0.2], 0.3, 'LM', 'D'],
    [[0.05, 0.05, 0.1, 0.1, 0.1], 0.1, '', null],
  ] as const)('%j', (practical, alpha_w, shape, absorption_class) => {
    expect(weightedRating(practical)).toEqual({ alpha_w, shape, absorption_class });
  });
});

test('classes of absorption follow the weighted coefficient (ISO 11654:1997, table B.1)', () => {
  // A from 0.90, B from 0.80, C from 0.60, D from 0.30, E from 0.15, below that none. The reference curve itself, lowered, is rated so.
  const rated = (alpha_w: number) =>
    weightedRating(
      [-0.2, 0, 0, 0, -0.1].map((step) => Math.max(0, alpha_w + step)) as [number, number, number, number, number],
    );
  const expected = {
    A: [1, 0.95, 0.9],
    B: [0.85, 0.8],
    C: [0.75, 0.7, 0.65, 0.6],
    D: [0.55, 0.45, 0.3],
    E: [0.25, 0.2, 0.15],
  };
  for (const [absorption_class, coefficients] of Object.entries(expected)) {
    for (const alpha_w of coefficients) expect(rated(alpha_w)).toMatchObject({ alpha_w, absorption_class });
  }
  expect(rated(0.1)).toMatchObject({ alpha_w: 0.1, absorption_class: null });
});
