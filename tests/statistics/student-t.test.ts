import { expect, test } from 'vitest';
import { coverageFactor, twoSidedProbability } from '../../src/statistics/student-t.ts';

// scipy 1.10.1: stats.t.ppf(0.975, dof), stats.t.ppf(0.995, dof), 2 * stats.t.sf(2.5, dof). JCGM 100:2008, Table G.2 has the first
// two to two decimals.
const TABLE = [
  [1, 12.7062, 63.65674, 0.242238],
  [2, 4.302653, 9.924843, 0.129612],
  [3, 3.182446, 5.840909, 0.0877066],
  [4, 2.776445, 4.604095, 0.0667665],
  [5, 2.570582, 4.032143, 0.0544901],
  [6.5, 2.402002, 3.593124, 0.0435295],
  [8, 2.306004, 3.355387, 0.036942],
  [10, 2.228139, 3.169273, 0.0314468],
  [12, 2.178813, 3.05454, 0.0279154],
  [16.765, 2.112071, 2.903262, 0.0231101],
  [20, 2.085963, 2.84534, 0.0212335],
  [30, 2.042272, 2.749996, 0.0181156],
  [50, 2.008559, 2.677793, 0.015745],
  [100, 1.983972, 2.625891, 0.0140458],
] as const;

test.each(TABLE)(
  'coverageFactor and twoSidedProbability at %d degrees of freedom agree with scipy to six digits',
  (dof, at95, at99, p) => {
    expect(Math.abs(coverageFactor(dof) / at95 - 1)).toBeLessThan(1e-6);
    expect(Math.abs(coverageFactor(dof, 0.99) / at99 - 1)).toBeLessThan(1e-6);
    expect(Math.abs(twoSidedProbability(2.5, dof) / p - 1)).toBeLessThan(1e-5);
  },
);

// JCGM 100:2008, Table G.2, column 95.45 %, to four decimals by computation.
test.each([
  [1, 13.9678],
  [2, 4.5266],
  [4, 2.8693],
  [10, 2.2837],
  [40, 2.0645],
])('coverageFactor(%d, 0.9545) is %d as in Table G.2', (dof, expected) => {
  expect(coverageFactor(dof, 0.9545)).toBeCloseTo(expected, 4);
});

test('coverageFactor(null) is the normal 1.959964 and 2.575829', () => {
  expect(coverageFactor(null)).toBeCloseTo(1.959964, 5);
  expect(coverageFactor(null, 0.99)).toBeCloseTo(2.575829, 5);
});

test('twoSidedProbability is even, 1 at zero, and undoes coverageFactor', () => {
  expect(twoSidedProbability(0, 5)).toBe(1);
  expect(twoSidedProbability(-2, 5)).toBe(twoSidedProbability(2, 5));
  expect(twoSidedProbability(coverageFactor(7.3), 7.3)).toBeCloseTo(0.05, 10);
});

test('coverageFactor throws on no degrees of freedom and on an impossible confidence', () => {
  expect(() => coverageFactor(0)).toThrow(/0 degrees of freedom: a positive number is needed/);
  expect(() => coverageFactor(5, 1)).toThrow(/confidence 1 is not between 0 and 1/);
});
