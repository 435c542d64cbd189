import fc from 'fast-check';
import { expect, test } from 'vitest';
import { holm } from '../../src/statistics/holm.ts';

test('holm multiplies the smallest by the number of looks, the next by one less, and never falls', () => {
  // By hand: 0.005 x 4 = 0.02, 0.01 x 3 = 0.03, 0.03 x 2 = 0.06, 0.04 x 1 = 0.04 raised to 0.06.
  const corrected = holm([0.01, 0.04, 0.03, 0.005]);
  [0.03, 0.06, 0.06, 0.02].forEach((expected, i) => {
    expect(corrected[i]).toBeCloseTo(expected, 12);
  });
});

test('holm leaves one look as it is and stops at 1', () => {
  expect(holm([0.04])).toEqual([0.04]);
  expect(holm([0.6, 0.7])).toEqual([1, 1]);
  expect(holm([])).toEqual([]);
});

test('holm never lowers a probability, never passes Bonferroni, and keeps the order', () => {
  fc.assert(
    fc.property(fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: 1, maxLength: 10 }), (p_values) => {
      const corrected = holm(p_values);
      p_values.forEach((p, i) => {
        expect(corrected[i]).toBeGreaterThanOrEqual(p);
        expect(corrected[i]).toBeLessThanOrEqual(Math.min(1, p * p_values.length) + 1e-12);
        p_values.forEach((q, j) => {
          if (p < q) expect(corrected[i]).toBeLessThanOrEqual(corrected[j]!);
        });
      });
    }),
  );
});
