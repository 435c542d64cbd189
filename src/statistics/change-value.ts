import type { BandQuantity } from '../room/reading.ts';
import { type Cell, mean } from './cells.ts';
import type { ChangeValue, Contribution, Scope, Verdict } from './finding.ts';
import { noticeable } from './just-noticeable.ts';
import { weighSpread } from './overdispersion.ts';
import type { SpreadSeen } from './place-variance.ts';
import { quotedId } from './quoted-id.ts';
import { judgedRepeatability, type Repeatability } from './repeatability.ts';
import { budgetOf, mergeBudgets, roomOfDifference, roomOfMean, sharedPlaces } from './room-spread.ts';
import type { SharedStructure } from './shared-structure.ts';
import { floorKind } from './spread-floor.ts';
import { interval, unavailableReason } from './stage-value.ts';
import { twoSidedProbability } from './student-t.ts';
import { isRatio } from './work-scale.ts';

export interface ChangeEvidence {
  /** Spread over shared places of differences and sums, in this and neighbouring bands; empty where fewer than two are shared. */
  paired: readonly SpreadSeen[];
  /** Spread over places in single stages, used where `paired` is empty. */
  single: readonly SpreadSeen[];
  repeatability: Repeatability;
  /** What the decays of shared places show the two stages to share; null where they show nothing. */
  shared: SharedStructure | null;
  /** Standard uncertainty of a time's ratio by the difference in temperature; 0 where there is none to speak of. */
  temperature: number;
  air_percent: number | null;
}

/**
 * The change of one cell between two stages with its 95 % interval: of the ratio for times, reckoned on the log scale and turned
 * back on the before-value; of the difference for the rest. Over the positions both stages have, place by place; over all, as
 * independent, where they share none. `to_settle` and `p_holm` are left for later.
 */
export function changeValue(before: Cell, after: Cell, evidence: ChangeEvidence): ChangeValue {
  const missing = [before, after].flatMap((cell) => {
    const reason = unavailableReason(cell);
    return reason === null ? [] : [`${quotedId(cell.stage)}: ${reason}`];
  });
  const pair = sharedPlaces(before, after);
  const shared_positions = pair.before.length;
  const frame = { quantity: before.quantity, width: before.width, centre_hz: before.centre_hz, shared_positions };
  if (missing.length > 0) return notMeasurable(frame, missing);

  const paired = shared_positions > 0;
  const places_before = paired ? pair.before : before.places;
  const places_after = paired ? pair.after : after.places;
  const { repeatability } = evidence;
  const room = paired
    ? roomOfDifference(pair, repeatability)
    : sumOf(roomOfMean(places_before, repeatability), roomOfMean(places_after, repeatability));
  const together = paired && evidence.paired.length > 0;
  const seen = together ? evidence.paired : evidence.single;
  const floor = floorKind(before.quantity);
  const shared = paired ? evidence.shared : null;
  const correlation_may_count = together || shared !== null;
  const found = weighSpread({ seen, wanted: room, correlation_may_count, shared, floor });
  const budget = budgetOf(found, room(1, found.correlation), [places_before, places_after], repeatability);
  for (const places of [places_before, places_after]) {
    budget.push(...judgedRepeatability(before.quantity, repeatability, places.length));
  }
  if (isRatio(before.quantity) && evidence.temperature > 0) {
    budget.push({ source: 'temperature', standard_uncertainty: evidence.temperature, dof: null });
  }
  const scope: Scope = places_before.length > 1 && places_after.length > 1 ? 'room' : 'position';
  const reasons: string[] = [];
  if (!paired) reasons.push('the two stages share no position: compared as independent');
  if (scope === 'position') {
    const spread = seen.length > 0 ? 'as other bands and stages show it' : 'by assumption';
    reasons.push(
      `compared at one position: the claim holds there, with the spread over the room allowed for ${spread}`,
    );
  }
  const evaluated = evaluate({
    quantity: before.quantity,
    before: mean(places_before.map((place) => place.mean)),
    after: mean(places_after.map((place) => place.mean)),
    budget,
  });
  reasons.push(...airReason(evaluated, evidence.air_percent));
  return {
    ...frame,
    ...evaluated,
    budget,
    correlation: found.correlation,
    air_percent: evidence.air_percent,
    scope,
    reasons,
  };
}

/**
 * The change of the mean of several bands, its uncertainty from all of them. For times each band's ratio counts by its share of
 * the mean. The bands' spreads are taken as independent. Not measurable where any band is not.
 */
export function changeOfMean(
  bands: readonly ChangeValue[],
  before: readonly number[],
  after: readonly number[],
): ChangeValue {
  const first = bands[0]!;
  const frame = {
    quantity: first.quantity,
    width: first.width,
    centre_hz: 'mid' as const,
    shared_positions: Math.min(...bands.map((band) => band.shared_positions)),
  };
  const missing = bands.filter((band) => band.difference === null);
  if (missing.length > 0) {
    return notMeasurable(
      frame,
      missing.map((band) => `${band.centre_hz} Hz: ${band.reasons.join('; ')}`),
    );
  }
  const budget = mergeBudgets(
    bands.map((band) => band.budget),
    isRatio(first.quantity) ? sharesOf(before, after) : bands.map(() => 1 / bands.length),
  );
  return {
    ...frame,
    ...evaluate({ quantity: first.quantity, before: mean(before), after: mean(after), budget }),
    budget,
    correlation: mean(bands.map((band) => band.correlation)),
    air_percent: largest(bands.map((band) => band.air_percent)),
    scope: bands.some((band) => band.scope === 'position') ? 'position' : 'room',
    reasons: [...new Set(bands.flatMap((band) => band.reasons))],
  };
}

interface Compared {
  quantity: BandQuantity;
  before: number;
  after: number;
  budget: readonly Contribution[];
}

/** Difference, ratio, interval, probability, verdict: all from one centre and one budget, so that none contradicts another. */
function evaluate({ quantity, before, after, budget }: Compared) {
  const { standard_uncertainty, expanded_uncertainty, coverage_factor, dof } = interval(budget);
  const ratio_scale = isRatio(quantity);
  const difference = after - before;
  const centre = ratio_scale ? Math.log(after / before) : difference;
  const low = centre - expanded_uncertainty;
  const high = centre + expanded_uncertainty;
  const shared = {
    difference,
    standard_uncertainty,
    coverage_factor,
    dof,
    p_value: twoSidedProbability(centre / standard_uncertainty, dof),
    p_holm: null,
    to_settle: null,
    verdict: verdictOf(low, high),
  };
  if (!ratio_scale) {
    const none = { ratio: null, percent: null, percent_low: null, percent_high: null };
    return { ...shared, ...none, low, high, noticeable: noticeable(quantity, low, high) };
  }
  return {
    ...shared,
    ratio: after / before,
    percent: 100 * (after / before - 1),
    low: before * Math.expm1(low),
    high: before * Math.expm1(high),
    percent_low: 100 * Math.expm1(low),
    percent_high: 100 * Math.expm1(high),
    noticeable: noticeable(quantity, Math.expm1(low), Math.expm1(high)),
  };
}

/** Said of a claimed change in time that the difference in air could account for by itself. */
function airReason(
  { verdict, percent_low, percent_high }: Pick<ChangeValue, 'verdict' | 'percent_low' | 'percent_high'>,
  air_percent: number | null,
): string[] {
  if (air_percent === null || percent_low === null || percent_high === null) return [];
  if (verdict === 'no-detectable-change' || air_percent < percent_low || air_percent > percent_high) return [];
  return [`the difference in air alone, ${signed(air_percent)} %, could account for it`];
}

/** A number with one decimal and its sign. */
function signed(value: number): string {
  return `${value < 0 ? '-' : '+'}${Math.abs(value).toFixed(1)}`;
}

/** What an interval lets one say: a change only where it leaves out zero. */
export function verdictOf(low: number, high: number): Verdict {
  if (low > 0) return 'increased';
  return high < 0 ? 'reduced' : 'no-detectable-change';
}

function sharesOf(before: readonly number[], after: readonly number[]): number[] {
  const share = (values: readonly number[], i: number) => values[i]! / (mean(values) * values.length);
  return before.map((_, i) => (share(before, i) + share(after, i)) / 2);
}

function sumOf(first: (squared: number) => number, second: (squared: number) => number): (squared: number) => number {
  return (squared) => first(squared) + second(squared);
}

function largest(values: readonly (number | null)[]): number | null {
  return values.some((value) => value === null) ? null : Math.max(...values.map((value) => value!));
}

function notMeasurable(
  frame: Pick<ChangeValue, 'quantity' | 'width' | 'centre_hz' | 'shared_positions'>,
  reasons: string[],
): ChangeValue {
  return {
    ...frame,
    difference: null,
    ratio: null,
    percent: null,
    low: null,
    high: null,
    percent_low: null,
    percent_high: null,
    p_value: null,
    p_holm: null,
    standard_uncertainty: null,
    dof: null,
    coverage_factor: null,
    budget: [],
    correlation: 0,
    air_percent: null,
    to_settle: null,
    verdict: 'not-measurable',
    noticeable: 'unclear',
    scope: frame.shared_positions > 1 ? 'room' : 'position',
    reasons,
  };
}
