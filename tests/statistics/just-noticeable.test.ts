import { expect, test } from 'vitest';
import { noticeable } from '../../src/statistics/just-noticeable.ts';

// Limits: ISO 3382-1:2009, Table A.1 (EDT 5 %, C80 1 dB, D50 0.05, Ts 10 ms; from memory); C50 1.1 dB: Bradley, Reich, Norcross 1999.
test.each([
  ['t20_s', -0.2, -0.06, 'yes'],
  ['t20_s', 0.06, 0.2, 'yes'],
  ['t20_s', -0.04, 0.04, 'no'],
  ['t20_s', -0.2, -0.04, 'unclear'],
  ['t20_s', -0.2, 0.2, 'unclear'],
  ['c50_db', 1.2, 3, 'yes'],
  ['c50_db', 1.05, 3, 'unclear'],
  ['c80_db', 1.05, 3, 'yes'],
  ['d50', -0.02, 0.049, 'no'],
  ['ts_s', -0.03, -0.011, 'yes'],
] as const)(
  'noticeable(%s, %d, %d) is %s: beyond the limit as a whole, within it as a whole, or neither',
  (quantity, low, high, expected) => {
    expect(noticeable(quantity, low, high)).toBe(expected);
  },
);

test('an interval that ends on the just noticeable difference lies neither beyond it nor within', () => {
  for (const [low, high] of [
    [1, 2],
    [-2, -1],
    [-1, 0.5],
    [-0.5, 1],
  ] as const) {
    expect(noticeable('c80_db', low, high)).toBe('unclear');
  }
});
