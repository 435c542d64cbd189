import type { BandQuantity } from '../room/reading.ts';
import { type Cell, mean } from './cells.ts';
import { combinedUncertainty, effectiveDof } from './combine-uncertainty.ts';
import type { Contribution, Scope, StageValue } from './finding.ts';
import { weighSpread } from './overdispersion.ts';
import type { SpreadSeen } from './place-variance.ts';
import { judgedRepeatability, type Repeatability } from './repeatability.ts';
import { budgetOf, mergeBudgets, roomOfMean } from './room-spread.ts';
import { floorKind } from './spread-floor.ts';
import { coverageFactor } from './student-t.ts';
import { isRatio } from './work-scale.ts';

/** At least this share of the used responses must give a value: else those that do are no fair sample. */
const LEAST_SHARE = 0.5;

export interface StageEvidence {
  /** Spread over places seen in this and neighbouring bands, in all stages. */
  seen: readonly SpreadSeen[];
  repeatability: Repeatability;
}

/** Why a stage has no value of a cell; null where it has one. */
export function unavailableReason(cell: Cell): string | null {
  if (cell.looked_at === 0) return 'no response of this stage could be used';
  if (cell.responses > 0 && cell.responses >= LEAST_SHARE * cell.looked_at) return null;
  const given = `${cell.responses} of ${cell.looked_at} responses give a value, at least half needed`;
  return [given, ...commonest(cell.refusals)].join('; ');
}

/**
 * The value of one cell: mean over positions of the position means, its uncertainty budget, and the half-width of its 95 %
 * interval by Student's t with Welch-Satterthwaite degrees of freedom (JCGM 100:2008, G.4 and G.6.4). Unavailable, with the
 * reason, where under half of the used responses give a value.
 */
export function stageValue(cell: Cell, { seen, repeatability }: StageEvidence): StageValue {
  const reason = unavailableReason(cell);
  if (reason !== null) return unavailable(cell, [reason]);
  const value = mean(cell.places.map((place) => place.mean));
  const room = roomOfMean(cell.places, repeatability);
  const found = weighSpread({ seen, wanted: room, correlation_may_count: false, floor: floorKind(cell.quantity) });
  const unit = isRatio(cell.quantity) ? value : 1;
  const budget = scaled(
    [
      ...budgetOf(found, room(1), [cell.places], repeatability),
      ...fitOf(cell),
      ...judgedRepeatability(cell.quantity, repeatability, cell.places.length),
    ],
    unit,
  );
  const reasons = [...commonest(cell.flags, cell.responses / 2)];
  const flagged = reasons.length > 0;
  const scope: Scope = cell.places.length > 1 ? 'room' : 'position';
  if (scope === 'position') reasons.push(onePosition(found.overdispersion, seen.length > 0));
  if (cell.responses === 1) reasons.push('one response only: how far repeats differ was not seen');
  const empty = cell.stage_positions.filter((name) => !cell.places.some((place) => place.position === name));
  if (empty.length > 0) reasons.push(`no value at position ${empty.join(', ')}`);
  return {
    ...frame(cell),
    ...interval(budget),
    value,
    scope,
    status: flagged ? 'flagged' : 'measured',
    reasons,
    budget,
    overdispersion: found.overdispersion,
    overdispersion_assumed: seen.length === 0,
  };
}

/**
 * A decay time read from a random decay lies above the truth by up to 1.3 times its relative variance (own simulation: T20 of
 * octaves from 125 Hz, 0.3 s; the full-range time 0.8). That does not average out; here as the half-width of a rectangle
 * (JCGM 100:2008, 4.3.7). Two stages share it, so changes do without.
 */
const BIAS_OVER_VARIANCE = 1.3;

function fitOf(cell: Cell): Contribution[] {
  if (!isRatio(cell.quantity)) return [];
  const floor = mean(cell.places.map((place) => place.floor));
  return [{ source: 'fit', standard_uncertainty: (BIAS_OVER_VARIANCE * floor) / Math.sqrt(3), dof: null }];
}

/** The mean of the values of two bands, its uncertainty from both. Unavailable where either is. */
export function meanOfBands(values: readonly StageValue[]): StageValue {
  const first = values[0]!;
  const missing = values.filter((band) => band.value === null);
  const base = {
    quantity: first.quantity,
    width: first.width,
    centre_hz: 'mid' as const,
    responses: Math.min(...values.map((band) => band.responses)),
    positions: Math.min(...values.map((band) => band.positions)),
  };
  if (missing.length > 0) {
    const reasons = missing.map((band) => `${band.centre_hz} Hz: ${band.reasons.join('; ')}`);
    return { ...base, ...NOTHING, reasons };
  }
  const budget = mergeBudgets(
    values.map((band) => band.budget),
    values.map(() => 1 / values.length),
  );
  const reasons = [...new Set(values.flatMap((band) => band.reasons))];
  return {
    ...base,
    ...interval(budget),
    value: mean(values.map((band) => band.value!)),
    scope: values.some((band) => band.scope === 'position') ? 'position' : 'room',
    status: values.some((band) => band.status === 'flagged') ? 'flagged' : 'measured',
    reasons,
    budget,
    overdispersion: Math.sqrt(mean(values.map((band) => band.overdispersion! ** 2))),
    overdispersion_assumed: values.some((band) => band.overdispersion_assumed),
  };
}

/** The commonest reasons of a count, at most two; those given by fewer than `least` responses left out. */
export function commonest(counts: ReadonlyMap<string, number>, least = 0): string[] {
  return [...counts]
    .filter(([, times]) => times >= least)
    .sort(([a, times_a], [b, times_b]) => times_b - times_a || (a < b ? -1 : 1))
    .slice(0, 2)
    .map(([reason]) => reason);
}

/** Standard and expanded uncertainty, coverage factor and degrees of freedom of a budget. */
export function interval(budget: readonly Contribution[]) {
  const standard_uncertainty = combinedUncertainty(budget);
  const dof = effectiveDof(budget);
  const coverage_factor = coverageFactor(dof);
  return { standard_uncertainty, expanded_uncertainty: coverage_factor * standard_uncertainty, coverage_factor, dof };
}

function onePosition(overdispersion: number, pooled: boolean): string {
  const factor = overdispersion.toFixed(1);
  return pooled
    ? `measured at one position: its spread over the room is taken from other bands and stages, ${factor} times the theoretical`
    : `measured at one position: its spread over the room is assumed, not seen, at ${factor} times the theoretical`;
}

const NOTHING = {
  value: null,
  standard_uncertainty: null,
  expanded_uncertainty: null,
  coverage_factor: null,
  dof: null,
  scope: 'position',
  status: 'unavailable',
  budget: [] as Contribution[],
  overdispersion: null,
  overdispersion_assumed: false,
} as const;

function unavailable(cell: Cell, reasons: string[]): StageValue {
  return { ...frame(cell), ...NOTHING, reasons, scope: cell.stage_positions.length > 1 ? 'room' : 'position' };
}

function frame(cell: Cell): {
  quantity: BandQuantity;
  width: Cell['width'];
  centre_hz: number;
  responses: number;
  positions: number;
} {
  const { quantity, width, centre_hz, responses, places } = cell;
  return { quantity, width, centre_hz, responses, positions: places.length };
}

function scaled(budget: readonly Contribution[], factor: number): Contribution[] {
  return budget.map((line) => ({ ...line, standard_uncertainty: line.standard_uncertainty * factor }));
}
