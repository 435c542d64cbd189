import { describe, expect, test } from 'vitest';
import { type SpreadFound, weighSpread } from '../../src/statistics/overdispersion.ts';
import type { SpreadSeen } from '../../src/statistics/place-variance.ts';
import type { FloorKind } from '../../src/statistics/spread-floor.ts';

/** Mean of the quantity wanted: that of a scaled inverse chi-square law is scale times m / (m - 2) (JCGM 101:2008, 6.4.9 for t; textbook). */
function meanOf({ variance, dof }: SpreadFound): number {
  return dof === null ? variance : (variance * dof) / (dof - 2);
}

/** Probability thought beforehand, or after what was seen, that a statement on overdispersion and correlation holds. */
function chance(holds: (overdispersion: number, correlation: number) => boolean, floor: FloorKind = 'least'): number {
  return meanOf(
    weighSpread({
      seen: [],
      wanted: (squared, correlation) => (holds(Math.sqrt(squared), correlation) ? 1 : 0),
      correlation_may_count: true,
      floor,
    }),
  );
}

const squared = (squared_overdispersion: number) => squared_overdispersion;

describe('what is thought beforehand', () => {
  test('stages are uncorrelated with weight 0.6, for T20 and T30 0.5, the rest evenly over 0 to 0.9', () => {
    expect(chance((_, correlation) => correlation === 0)).toBeCloseTo(0.6 + 0.04, 9);
    expect(chance((_, correlation) => correlation === 0, 'standard')).toBeCloseTo(0.5 + 0.05, 9);
    for (const each of [0.1, 0.5, 0.9]) expect(chance((_, correlation) => correlation === each)).toBeCloseTo(0.04, 9);
    const { correlation } = weighSpread({ seen: [], wanted: squared, correlation_may_count: true });
    expect(correlation).toBeCloseTo(0.4 * 0.45, 9);
  });

  test('the overdispersion follows 1 / (1 + ((s - 1) / 0.42)^4), for T20 and T30 0.16, from 1 to 8', () => {
    // The same law summed finely, by steps of 0.0005.
    for (const [floor, half] of [
      ['least', 0.42],
      ['standard', 0.16],
    ] as const) {
      const mass = (from: number, to: number, power: number) => {
        let sum = 0;
        for (let s = from + 0.00025; s < to; s += 0.0005) sum += (0.0005 * s ** power) / (1 + ((s - 1) / half) ** 4);
        return sum;
      };
      const found = weighSpread({ seen: [], wanted: squared, correlation_may_count: true, floor });
      // The grid has 30 steps: its ends count whole, which a sum over half steps would not; 5 % holds both.
      expect(found.overdispersion ** 2 / (mass(1, 8, 2) / mass(1, 8, 0))).toBeGreaterThan(0.95);
      expect(found.overdispersion ** 2 / (mass(1, 8, 2) / mass(1, 8, 0))).toBeLessThan(1.05);
    }
  });

  test('it is wide: so wide that Student’s t has few degrees of freedom, four at least', () => {
    const { dof } = weighSpread({ seen: [], wanted: squared, correlation_may_count: false });
    expect(dof).toBeGreaterThan(4);
    expect(dof).toBeLessThan(10);
  });
});

describe('what was seen', () => {
  const see = (truth: number, correlation: number, dof: number) =>
    ([1, -1] as const).map((sign): SpreadSeen => {
      // Two stages with half of it each: s^2 (1 + r) of their sums, s^2 (1 - r) of their differences.
      const half = { floor: 0.5, own: 0, repeats: 0 };
      return { mean_square: truth ** 2 * (1 + sign * correlation), dof, first: half, second: half, sign };
    });
  const wanted = (s2: number, r: number) => s2 * (1 - r);

  test('outweighs what was thought where there is enough of it', () => {
    const found = weighSpread({ seen: see(1.4, 0.5, 1e5), wanted, correlation_may_count: true });
    // Steps of the grid are 7.4 % in the overdispersion, 0.1 in the correlation.
    expect(Math.abs(found.overdispersion - 1.4)).toBeLessThan(0.06);
    expect(found.correlation).toBeCloseTo(0.5, 1);
    expect(Math.abs(meanOf(found) / (1.4 ** 2 * 0.5) - 1)).toBeLessThan(0.15);
  });

  test('is counted by its degrees of freedom: the more, the nearer to what was seen and the surer', () => {
    const found = [2, 8, 32, 128].map((dof) =>
      weighSpread({ seen: see(2.5, 0, dof), wanted, correlation_may_count: false }),
    );
    const overdispersions = found.map(({ overdispersion }) => overdispersion);
    const dofs = found.map(({ dof }) => dof ?? Number.POSITIVE_INFINITY);
    expect(overdispersions).toEqual(overdispersions.toSorted((a, b) => a - b));
    expect(dofs.slice(1)).toEqual(dofs.slice(1).toSorted((a, b) => a - b));
    expect(overdispersions[3]).toBeGreaterThan(2.3);
    expect(overdispersions[0]).toBeLessThan(2.1);
  });

  test('never under the floor, however little the places differ', () => {
    const found = weighSpread({ seen: see(0.3, 0, 100), wanted, correlation_may_count: false });
    expect(found.overdispersion).toBeGreaterThanOrEqual(1);
    expect(found.overdispersion).toBeLessThan(1.1);
  });

  test('says nothing of a correlation that may not count', () => {
    const found = weighSpread({ seen: see(1.2, 0.8, 1000), wanted, correlation_may_count: false });
    expect(found.correlation).toBe(0);
  });

  test('a variance that hangs on neither is known, with degrees of freedom without end', () => {
    const found = weighSpread({ seen: [], wanted: () => 2, correlation_may_count: true });
    expect(found).toMatchObject({ dof: null });
    expect(found.variance).toBeCloseTo(2, 12);
  });

  test('degrees of freedom give back the mean and the doubt: 2 mean^2 / variance + 4', () => {
    const options = { seen: see(1.3, 0.2, 6), correlation_may_count: true };
    const found = weighSpread({ ...options, wanted });
    const mean = meanOf(found);
    const mean_square = meanOf(weighSpread({ ...options, wanted: (s2, r) => wanted(s2, r) ** 2 }));
    expect(found.dof).toBeCloseTo((2 * mean ** 2) / (mean_square - mean ** 2) + 4, 6);
  });
});
