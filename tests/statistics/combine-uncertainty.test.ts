import { expect, test } from 'vitest';
import { combinedUncertainty, dofOfJudgement, effectiveDof } from '../../src/statistics/combine-uncertainty.ts';
import { coverageFactor } from '../../src/statistics/student-t.ts';

/** JCGM 100:2008, H.1, the end gauge: nanometres and degrees of freedom. */
const END_GAUGE = [
  { standard_uncertainty: 25, dof: 18 },
  { standard_uncertainty: 9.7, dof: 25.6 },
  { standard_uncertainty: 2.9, dof: 50 },
  { standard_uncertainty: 16.6, dof: 2 },
];

test('combinedUncertainty gives the 32 nm of the end gauge of JCGM 100:2008, H.1', () => {
  expect(combinedUncertainty(END_GAUGE)).toBeCloseTo(31.671, 3);
  expect(Math.round(combinedUncertainty(END_GAUGE))).toBe(32);
});

test('effectiveDof gives the 16 of the end gauge, from unrounded uncertainties', () => {
  expect(effectiveDof(END_GAUGE)).toBeCloseTo(16.765, 2);
  expect(Math.floor(effectiveDof(END_GAUGE)!)).toBe(16);
});

test('the end gauge expands to 93 nm at 99 % and 67.1 nm at 95 %', () => {
  expect(coverageFactor(16, 0.99) * 32).toBeCloseTo(93.5, 0);
  expect(coverageFactor(16, 0.95) * combinedUncertainty(END_GAUGE)).toBeCloseTo(67.14, 1);
});

test('effectiveDof is infinite, null, where every contribution is known', () => {
  expect(effectiveDof([{ standard_uncertainty: 1, dof: null }])).toBeNull();
});

test('effectiveDof of one contribution is its own', () => {
  expect(effectiveDof([{ standard_uncertainty: 3, dof: 7 }])).toBeCloseTo(7, 12);
});

test('dofOfJudgement follows JCGM 100:2008, G.4.2: a doubt of a quarter is worth 8 degrees of freedom', () => {
  expect(dofOfJudgement(0.25)).toBe(8);
  expect(dofOfJudgement(0.1)).toBeCloseTo(50, 10);
  expect(dofOfJudgement(0.5)).toBe(2);
  expect(() => dofOfJudgement(0)).toThrow(/doubt 0 is not positive/);
});
