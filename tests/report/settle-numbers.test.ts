import fc from 'fast-check';
import { expect, test } from 'vitest';
import { settleNumbers } from '../../src/report/settle-numbers.ts';

/** The decimal of seven digits, as ECMA-262 has `toPrecision` give it, read back. */
const byText = (value: number) => (Number.isInteger(value) ? value : Number(value.toPrecision(7)));

test('a number is rounded as its decimal of seven digits reads', () => {
  const anywhere = fc.double({ noNaN: true });
  const usual = fc.double({ noNaN: true, min: -1e4, max: 1e4 });
  // Decimals of eight digits that end in 5, and their neighbours: the ties, which binary fractions miss on either side.
  const ties = fc
    .tuple(
      fc.integer({ min: 1_000_000, max: 9_999_999 }),
      fc.integer({ min: -14, max: 14 }),
      fc.integer({ min: -2, max: 2 }),
    )
    .map(([digits, power, ulps]) => {
      const tie = Number(`${digits}5e${power}`);
      return tie * (1 + ulps * Number.EPSILON);
    });
  fc.assert(
    fc.property(fc.oneof(anywhere, usual, ties), (value) => {
      expect(settleNumbers(value)).toBe(byText(value));
    }),
    { numRuns: 5000 },
  );
});

test('what is no number stays, at any depth', () => {
  const data = { a: [1 / 3, { b: 'c', d: null, e: true, f: undefined }], n: 12_345_678.9 };
  expect(settleNumbers(data)).toEqual({
    a: [0.333_333_3, { b: 'c', d: null, e: true, f: undefined }],
    n: 12_345_680,
  });
  const odd = JSON.parse('{"__proto__": {"x": 0.12345678}, "y": 1}');
  expect(JSON.stringify(settleNumbers(odd))).toBe('{"__proto__":{"x":0.1234568},"y":1}');
  expect(settleNumbers(Number.NaN)).toBeNaN();
  expect(settleNumbers(Number.POSITIVE_INFINITY)).toBe(Number.POSITIVE_INFINITY);
});
