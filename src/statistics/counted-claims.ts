/**
 * How often a change was claimed where nothing had changed but the fine structure of the decays: counted on 1000 simulated
 * measurements, T 0.3 s, range 25 to 70 dB, overdispersion 1 to 1.5, correlation of the stages 0 to 0.8, through the real reading
 * and comparing steps by `npm run bench:coverage` (seeds 601 and 602, 2026-11-25). A share near 5 % is good to 1.4 points, one near
 * 50 % to 4.
 */
export const COUNTED_MEASUREMENTS = 1000;

/** The usual practice: one T20 before, one after at the same place, any difference over 5 % believed. Per cent of pairs, by octave. */
export const USUAL_PRACTICE_CLAIMS: readonly { centre_hz: number; claims_percent: number; pairs: number }[] = [
  { centre_hz: 125, claims_percent: 74, pairs: 669 },
  { centre_hz: 250, claims_percent: 70, pairs: 698 },
  { centre_hz: 500, claims_percent: 60, pairs: 724 },
  { centre_hz: 1000, claims_percent: 48, pairs: 737 },
  { centre_hz: 2000, claims_percent: 38, pairs: 727 },
  { centre_hz: 4000, claims_percent: 27, pairs: 715 },
];

export interface PlanClaims {
  positions: number;
  responses_per_position: number;
  /** Per cent of changes claimed by their own 95 % interval of the full-range time, octave by octave as above. */
  claims_percent: readonly number[];
  /** The same over all these octaves. */
  band_claims_percent: number;
  /** Per cent of headlines over 500 and 1000 Hz. */
  headline_claims_percent: number;
}

const COUNTED: readonly (readonly [number, number, readonly number[], number, number])[] = [
  [1, 1, [1.9, 3, 2.7, 3.4, 3.2, 3.8], 3, 1.4],
  [1, 3, [1.9, 2.2, 2.8, 2.3, 2.1, 2.7], 2.3, 0.9],
  [1, 6, [1.9, 2.6, 2.7, 2.8, 1.6, 2.7], 2.4, 1.6],
  [2, 1, [2.4, 3, 3, 4.3, 3, 3], 3.1, 1.1],
  [2, 3, [2.3, 3.5, 3.6, 4.7, 3, 3], 3.4, 1.8],
  [2, 6, [2.3, 3.5, 4.7, 4, 3.4, 2.6], 3.4, 2.4],
  [3, 1, [3.5, 3.1, 3.1, 4.1, 3.9, 3.4], 3.5, 2.2],
  [3, 3, [3.3, 4, 3.3, 3.9, 2.7, 2.2], 3.2, 2.2],
  [3, 6, [3.1, 4.6, 5, 5.1, 3.9, 2.9], 4.1, 3.1],
  [6, 1, [3.1, 3.7, 4.4, 4.4, 4.4, 4.6], 4.1, 2.4],
  [6, 3, [3.1, 4, 4.4, 4.6, 3.9, 3.8], 4, 3.2],
  [6, 6, [2.6, 4, 5.1, 5.7, 4.2, 3.6], 4.2, 2.9],
];

/** The same by the intervals of this tool, for the plans that were counted. */
export const PLAN_CLAIMS: readonly PlanClaims[] = COUNTED.map(
  ([positions, responses_per_position, claims_percent, band_claims_percent, headline_claims_percent]) => ({
    positions,
    responses_per_position,
    claims_percent,
    band_claims_percent,
    headline_claims_percent,
  }),
);

/** The counted plan that comes nearest from below: no more positions and no more responses at each than the plan has. */
export function countedClaims(plan: { positions: number; responses_per_position: number }): PlanClaims {
  const within = PLAN_CLAIMS.filter(
    (counted) => counted.positions <= plan.positions && counted.responses_per_position <= plan.responses_per_position,
  );
  const nearest = within.at(-1);
  if (nearest === undefined) throw new RangeError('a plan needs a position and a response');
  return nearest;
}
