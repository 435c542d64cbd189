import { type Cell, mean, type Place } from './cells.ts';
import type { Contribution } from './finding.ts';
import type { SpreadFound } from './overdispersion.ts';
import { placeVariance, roomOfPair, roomPart, type SpreadSeen } from './place-variance.ts';
import { noiseVariance, type Repeatability, repeatVariance } from './repeatability.ts';

/** Bands this far apart, in octaves, share an overdispersion and a repeatability. */
const NEIGHBOURHOOD_OCTAVES = 2.1;
/** Two stages at two or three places tell little of what they share: there one band further on each side counts as well. */
export const PAIRED_NEIGHBOURHOOD_OCTAVES = 3.1;

/** The cells of bands near `centre_hz`. */
export function neighbouring<T extends { centre_hz: number }>(
  cells: readonly T[],
  centre_hz: number,
  octaves = NEIGHBOURHOOD_OCTAVES,
): T[] {
  return cells.filter((cell) => Math.abs(Math.log2(cell.centre_hz / centre_hz)) < octaves);
}

/** The spread over places seen in one cell; null under two places. */
export function spreadOfCell(cell: Cell, repeatability: Repeatability): SpreadSeen | null {
  const { places } = cell;
  if (places.length < 2) return null;
  return {
    mean_square: meanSquare(places.length, (i) => places[i]!.work_mean),
    dof: places.length - 1,
    first: placeVariance(places, repeatability),
    second: null,
    sign: 1,
  };
}

/**
 * The spread over shared places of the differences between two stages, and of their sums. What the stages share cancels in the
 * one and doubles in the other, so together they tell the correlation from the overdispersion. Empty under two shared places.
 */
export function spreadOfPair(pair: CellPair, repeatability: Repeatability): SpreadSeen[] {
  const { before, after } = pair;
  if (before.length < 2) return [];
  const first = placeVariance(before, repeatability);
  const second = placeVariance(after, repeatability);
  const seen = (sign: 1 | -1): SpreadSeen => ({
    mean_square: meanSquare(after.length, (i) => after[i]!.work_mean + sign * before[i]!.work_mean),
    dof: before.length - 1,
    first,
    second,
    sign,
  });
  return [seen(-1), seen(1)];
}

/** Two stages of one band at the places both have, in the same order. */
export interface CellPair {
  centre_hz: number;
  before: Place[];
  after: Place[];
}

/** The places both cells have, matched by name. */
export function sharedPlaces(before: Cell, after: Cell): CellPair {
  const shared = before.places.filter((place) => after.places.some((other) => other.position === place.position));
  return {
    centre_hz: before.centre_hz,
    before: shared,
    after: shared.map((place) => after.places.find((other) => other.position === place.position)!),
  };
}

/** The room's part of the variance of a mean over places, as a function of the squared overdispersion. */
export function roomOfMean(places: readonly Place[], repeatability: Repeatability): (squared: number) => number {
  const theory = placeVariance(places, repeatability);
  return (squared) => roomPart(theory, squared) / places.length;
}

/** The room's part of the variance of the mean difference over shared places. */
export function roomOfDifference(
  pair: CellPair,
  repeatability: Repeatability,
): (squared: number, correlation: number) => number {
  const first = placeVariance(pair.before, repeatability);
  const second = placeVariance(pair.after, repeatability);
  return (squared, correlation) => roomOfPair(first, second, squared, correlation) / pair.before.length;
}

/**
 * The budget of a mean over places: bound and positions from the spread found, range and repeatability from the repeats.
 * `bound` is the room's variance were there no overdispersion; `groups` the places of each mean that enters.
 */
export function budgetOf(
  found: SpreadFound,
  bound: number,
  groups: readonly (readonly Place[])[],
  repeatability: Repeatability,
): Contribution[] {
  const over = (variance: (place: Place) => number) =>
    groups.reduce((sum, places) => sum + mean(places.map(variance)) / places.length, 0);
  const lines = roomLines(found, bound);
  lines.push({ source: 'range', standard_uncertainty: Math.sqrt(over(noiseVariance)), dof: null });
  if (repeatability.dof > 0) {
    const repeats = over((place) => repeatVariance(place, repeatability));
    lines.push({ source: 'repeatability', standard_uncertainty: Math.sqrt(repeats), dof: repeatability.dof });
  }
  return lines.filter((line) => line.standard_uncertainty > 0);
}

/**
 * The room's part as lines of a budget. The bound is known; all the doubt lies in what exceeds it, whose degrees of freedom are
 * those that give back, by Welch and Satterthwaite, the ones found for the whole. Where next to nothing exceeds it, one line.
 */
function roomLines({ variance, dof }: SpreadFound, bound: number): Contribution[] {
  const excess = variance - bound;
  const excess_dof = dof === null ? null : dof * (excess / variance) ** 2;
  if (excess <= 0 || (excess_dof !== null && excess_dof < 1)) {
    return [{ source: 'bound', standard_uncertainty: Math.sqrt(variance), dof }];
  }
  return [
    { source: 'bound', standard_uncertainty: Math.sqrt(bound), dof: null },
    { source: 'positions', standard_uncertainty: Math.sqrt(excess), dof: excess_dof },
  ];
}

/** Lines of several budgets as one, each scaled: like with like, by root of sum of squares, with the fewer degrees of freedom. */
export function mergeBudgets(
  budgets: readonly (readonly Contribution[])[],
  weights: readonly number[],
): Contribution[] {
  const merged = new Map<Contribution['source'], Contribution>();
  budgets.forEach((budget, i) => {
    for (const line of budget) {
      const scaled = line.standard_uncertainty * weights[i]!;
      const there = merged.get(line.source);
      merged.set(line.source, {
        source: line.source,
        standard_uncertainty: Math.hypot(scaled, there?.standard_uncertainty ?? 0),
        dof: there === undefined ? line.dof : fewer(line.dof, there.dof),
      });
    }
  });
  return [...merged.values()];
}

function fewer(a: number | null, b: number | null): number | null {
  if (a === null) return b;
  return b === null ? a : Math.min(a, b);
}

/** Mean square of so many values about their mean. */
function meanSquare(count: number, value: (i: number) => number): number {
  let sum = 0;
  for (let i = 0; i < count; i++) sum += value(i);
  const centre = sum / count;
  let squares = 0;
  for (let i = 0; i < count; i++) squares += (value(i) - centre) ** 2;
  return squares / (count - 1);
}
