import type { BandWidth } from '../room/reading.ts';
import { noiseShare } from './noise-share.ts';
import { weighSpread } from './overdispersion.ts';
import { expectedSquare, type SpreadSeen } from './place-variance.ts';
import { bandwidthHz, fullRangeVariance } from './spread-floor.ts';
import { coverageFactor } from './student-t.ts';

/** A measurement not yet made: the same plan in both stages, the positions the same. */
export interface MeasurementPlan {
  positions: number;
  responses_per_position: number;
  width: BandWidth;
  centre_hz: number;
  /** Decay time expected. */
  decay_s: number;
  /** Level of the decay over the noise expected. */
  range_db: number;
}

/** Chance with which the detectable change is found. */
export const PLANNED_POWER = 0.9;
/** Overdispersion a plan reckons with: the middle of the 1 to 1.5 thought likely (an assumption, no published source). */
export const PLANNED_OVERDISPERSION = 1.25;
/** Neighbouring bands that share what they tell of the spread. */
const POOLED_BANDS = 5;

/**
 * The smallest reduction of the full-range decay time, in per cent, that the plan finds with 90 % chance at 95 % confidence. The
 * spread is the theoretical one with an overdispersion of 1.25, no correlation of the stages counted on; repeats take out only
 * the noise's share of it, which is why positions help more than claps. One position: the assumed overdispersion.
 * Throws where positions or responses are under one.
 */
export function detectableChange_percent(plan: MeasurementPlan): number {
  const { positions, responses_per_position, decay_s, range_db } = plan;
  if (!(positions >= 1 && responses_per_position >= 1)) throw new RangeError('a plan needs a position and a response');
  const bandwidth_hz = bandwidthHz(plan.width, plan.centre_hz);
  const floor = fullRangeVariance({ decay_s, bandwidth_hz, range_db });
  const share = noiseShare(range_db);
  const noise = (2 * share * floor) / (positions * responses_per_position);
  const room = (squared: number, correlation: number) =>
    (2 * (squared - share) * floor * (1 - correlation)) / positions;
  const dof = (positions - 1) * POOLED_BANDS;
  const stage = { floor, own: share * floor, repeats: (positions * noise) / 2 };
  const seen = ([-1, 1] as const).map((sign): SpreadSeen => {
    const theory = { first: stage, second: stage, sign };
    return { ...theory, dof, mean_square: expectedSquare(theory, PLANNED_OVERDISPERSION ** 2, 0) };
  });
  const found = weighSpread({
    seen: positions > 1 ? seen : [],
    wanted: room,
    correlation_may_count: positions > 1,
  });
  const total = found.variance + noise;
  const total_dof = found.dof === null ? null : found.dof * (total / found.variance) ** 2;
  const factors = coverageFactor(total_dof) + coverageFactor(total_dof, 2 * PLANNED_POWER - 1);
  return -100 * Math.expm1(-factors * Math.sqrt(total));
}
