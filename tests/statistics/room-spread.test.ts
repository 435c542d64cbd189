import { describe, expect, test } from 'vitest';
import { effectiveDof } from '../../src/statistics/combine-uncertainty.ts';
import type { Contribution } from '../../src/statistics/finding.ts';
import { expectedSquare } from '../../src/statistics/place-variance.ts';
import type { Repeatability } from '../../src/statistics/repeatability.ts';
import {
  budgetOf,
  mergeBudgets,
  neighbouring,
  roomOfDifference,
  roomOfMean,
  sharedPlaces,
  spreadOfCell,
  spreadOfPair,
} from '../../src/statistics/room-spread.ts';
import { cellOf, NOT_REPEATED, placeOf } from './given-cells.ts';

/** Repeats differ by 0.4 floors beyond the noise: on paper, a place of two responses has 0.2 floors of it in its mean. */
const REPEATED: Repeatability = { own: (noise_share) => noise_share, excess: 0.4, dof: 12 };
const NOISY = { noise_share: 0.2, responses: 2 };
const BEFORE = [placeOf({ ...NOISY, work_mean: 0 }), placeOf({ ...NOISY, position: 'B', work_mean: 0.2 })];
const AFTER = [
  placeOf({ position: 'A', floor: 0.04, work_mean: 0.1 }),
  placeOf({ position: 'B', floor: 0.04, work_mean: 0.5 }),
];

test('bands two octaves off are neighbours, three are not unless asked for', () => {
  const cells = [63, 125, 250, 500, 1000, 2000, 4000].map((centre_hz) => ({ centre_hz }));
  const near = (octaves?: number) => neighbouring(cells, 500, octaves).map(({ centre_hz }) => centre_hz);
  expect(near()).toEqual([125, 250, 500, 1000, 2000]);
  expect(near(3.1)).toEqual([63, 125, 250, 500, 1000, 2000, 4000]);
});

describe('the spread seen in one stage', () => {
  test('is the mean square of the places about their mean; of one place there is none', () => {
    expect(spreadOfCell(cellOf(BEFORE.slice(1)), REPEATED)).toBeNull();
    const seen = spreadOfCell(cellOf([0, 0.1, 0.5].map((work_mean) => placeOf({ work_mean }))), NOT_REPEATED)!;
    expect(seen.mean_square).toBeCloseTo((0.04 + 0.01 + 0.09) / 2, 12);
    expect(seen.dof).toBe(2);
  });

  test('is what the room does, without the noise of one recording, and what is left of noise and claps in the means', () => {
    const seen = spreadOfCell(cellOf(BEFORE), REPEATED)!;
    // Room: s^2 0.01 - 0.002. In the mean of two: noise 0.001, claps 0.002.
    expect(expectedSquare(seen, 1, 0)).toBeCloseTo(0.008 + 0.003, 12);
    expect(expectedSquare(seen, 2, 0)).toBeCloseTo(0.018 + 0.003, 12);
  });
});

describe('the spread seen in a pair', () => {
  const pair = { centre_hz: 500, before: BEFORE, after: AFTER };

  test('is that of differences and of sums; of one shared place there is none', () => {
    const [difference, sum] = spreadOfPair(pair, REPEATED);
    expect(difference!.mean_square).toBeCloseTo(0.02, 12); // 0.1 and 0.3
    expect(sum!.mean_square).toBeCloseTo(0.18, 12); // 0.1 and 0.7
    expect([difference!.dof, sum!.dof]).toEqual([1, 1]);
    expect(spreadOfPair({ centre_hz: 500, before: BEFORE.slice(1), after: AFTER.slice(1) }, REPEATED)).toEqual([]);
  });

  test('is the variance of a difference and of a sum of correlated values', () => {
    const [difference, sum] = spreadOfPair(pair, REPEATED);
    // Repeats: before 0.003 as above, after 0.4 x 0.04 of one response. Room: 0.008 and 0.04, their geometric mean 0.01789.
    const repeats = 0.003 + 0.016;
    const shared = 2 * 0.5 * Math.sqrt(0.008 * 0.04);
    expect(expectedSquare(difference!, 1, 0)).toBeCloseTo(0.048 + repeats, 12);
    expect(expectedSquare(difference!, 1, 0.5)).toBeCloseTo(0.048 + repeats - shared, 12);
    expect(expectedSquare(sum!, 1, 0.5)).toBeCloseTo(0.048 + repeats + shared, 12);
  });

  test('is taken over the places both stages have, matched by name', () => {
    const after = [placeOf({ position: 'C' }), placeOf({ position: 'B', mean: 7 }), placeOf({ position: 'D' })];
    const shared = sharedPlaces(cellOf(BEFORE), cellOf(after));
    expect(shared).toEqual({ centre_hz: 500, before: [BEFORE[1]], after: [after[1]] });
  });
});

test('the room’s part of a mean is that of one place over their number, of a difference as its stages are correlated', () => {
  expect(roomOfMean(BEFORE, REPEATED)(2)).toBeCloseTo(0.018 / 2, 12);
  const room = roomOfDifference({ centre_hz: 500, before: BEFORE, after: AFTER }, REPEATED);
  expect(room(1, 0)).toBeCloseTo(0.048 / 2, 12);
  expect(room(1, 0.5)).toBeCloseTo((0.048 - Math.sqrt(0.008 * 0.04)) / 2, 12);
});

describe('a budget', () => {
  const found = { variance: 0.05, dof: 10, overdispersion: 1.2, correlation: 0 };

  test('parts what theory asks for from what exceeds it, and gives back the degrees of freedom of the whole', () => {
    const budget = budgetOf(found, 0.01, [[placeOf()]], NOT_REPEATED);
    expect(budget.map(({ source }) => source)).toEqual(['bound', 'positions']);
    expect(budget[0]).toMatchObject({ standard_uncertainty: 0.1, dof: null });
    expect(budget[1]!.standard_uncertainty ** 2).toBeCloseTo(0.04, 12);
    expect(effectiveDof(budget)).toBeCloseTo(10, 9);
    const known = budgetOf({ ...found, dof: null }, 0.01, [[placeOf()]], NOT_REPEATED);
    expect(known.map(({ dof }) => dof)).toEqual([null, null]);
  });

  test.each([
    ['nothing', 0.05, 10],
    ['next to nothing', 0.045, 10],
    ['less than nothing', 0.06, null],
  ])('is one line where %s exceeds theory', (_, bound, dof) => {
    const budget = budgetOf({ ...found, dof }, bound, [[placeOf()]], NOT_REPEATED);
    expect(budget).toEqual([{ source: 'bound', standard_uncertainty: Math.sqrt(0.05), dof }]);
  });

  test('adds the noise and the repeats of every mean that enters', () => {
    const lines = budgetOf(found, 0.01, [BEFORE, AFTER], REPEATED).slice(2);
    // Mean of two places: noise 0.001 / 2 before and none after, claps 0.002 / 2 and 0.016 / 2.
    expect(lines.map(({ source, dof }) => [source, dof])).toEqual([
      ['range', null],
      ['repeatability', 12],
    ]);
    expect(lines[0]!.standard_uncertainty ** 2).toBeCloseTo(0.0005, 12);
    expect(lines[1]!.standard_uncertainty ** 2).toBeCloseTo(0.009, 12);
    // Of repeats that were not seen nothing is said, even were something supposed of them.
    expect(budgetOf(found, 0.01, [AFTER], { ...REPEATED, dof: 0 })).toHaveLength(2);
  });
});

test('budgets are merged line by line, weighted, as roots of sums of squares, with the fewer degrees of freedom', () => {
  const line = (source: Contribution['source'], standard_uncertainty: number, dof: number | null) => ({
    source,
    standard_uncertainty,
    dof,
  });
  const merged = mergeBudgets(
    [
      [line('bound', 3, null), line('positions', 6, 5), line('range', 2, null)],
      [line('bound', 1, 9), line('positions', 2, 8)],
      [line('positions', 0, null), line('repeatability', 8, 4)],
    ],
    [1, 4, 0.5],
  );
  expect(merged).toEqual([
    line('bound', 5, 9),
    line('positions', 10, 5),
    line('range', 2, null),
    line('repeatability', 4, 4),
  ]);
  expect(mergeBudgets([[line('fit', 1, 8)], [line('fit', 1, 5)]], [1, 1])[0]!.dof).toBe(5);
});
