import { describe, expect, it } from 'vitest';
import { upperProbability } from '../../src/statistics/f-distribution.ts';

describe('upperProbability(f, { over, under })', () => {
  it('agrees with scipy.stats.f.sf of SciPy 1.10.1', () => {
    const values = [
      [1, 4, 10, 0.4515550493416859],
      [3.5, 5, 20, 0.019583556387980372],
      [9.1, 4, 17, 0.00040442795586775995],
      [2.2, 1, 7.5, 0.17876888423787726],
      [40, 5, 12, 4.476181546621771e-7],
    ] as const;
    for (const [f, over, under, p] of values) {
      expect(Math.abs(upperProbability(f, { over, under }) / p - 1)).toBeLessThan(1e-8);
    }
  });

  it('is 1 at zero', () => {
    expect(upperProbability(0, { over: 3, under: 8 })).toBe(1);
  });

  it('refuses what has no degrees of freedom', () => {
    expect(() => upperProbability(1, { over: 0, under: 3 })).toThrow('degrees of freedom over 0');
  });
});

it('degrees of freedom are above zero on both sides', () => {
  expect(() => upperProbability(1, { over: 0, under: 3 })).toThrow('over 0');
  expect(() => upperProbability(1, { over: 3, under: 0 })).toThrow('over 0');
});
