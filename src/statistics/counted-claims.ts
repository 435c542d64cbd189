/**
 * How often a change was claimed where nothing had changed but the fine structure of the decays: counted on 1000 simulated
 * measurements, T 0.3 s, range 25 to 70 dB, overdispersion 1 to 1.5, correlation of the stages 0 to 0.8, through the real reading
 * and comparing steps by `npm run bench:coverage` (seeds 101 and 102). A share near 5 % is good to 1.4 points, one near 50 % to 4.
 */

/** The usual practice: one T20 before, one after at the same place, any difference over 5 % believed. Per cent of pairs, by octave. */
export const USUAL_PRACTICE_CLAIMS: readonly { centre_hz: number; claims_percent: number; pairs: number }[] = [
  { centre_hz: 125, claims_percent: 77, pairs: 700 },
  { centre_hz: 250, claims_percent: 69, pairs: 725 },
  { centre_hz: 500, claims_percent: 59, pairs: 746 },
  { centre_hz: 1000, claims_percent: 48, pairs: 763 },
  { centre_hz: 2000, claims_percent: 40, pairs: 749 },
  { centre_hz: 4000, claims_percent: 27, pairs: 739 },
];

export interface PlanClaims {
  positions: number;
  responses_per_position: number;
  /** Per cent of octave bands, 125 Hz to 4 kHz, by their own 95 % interval of the full-range time. */
  band_claims_percent: number;
  /** Per cent of headlines over 500 and 1000 Hz. */
  headline_claims_percent: number;
}

/** The same by the intervals of this tool, for the plans that were counted. */
export const PLAN_CLAIMS: readonly PlanClaims[] = [
  [1, 1, 1.0, 0.3],
  [1, 3, 0.5, 0.1],
  [1, 6, 0.4, 0.1],
  [2, 1, 2.3, 1.1],
  [2, 3, 1.8, 0.6],
  [2, 6, 1.8, 0.6],
  [3, 1, 2.8, 1.1],
  [3, 3, 2.9, 1.1],
  [3, 6, 2.9, 1.2],
  [6, 1, 3.5, 1.3],
  [6, 3, 3.1, 1.4],
  [6, 6, 3.5, 1.6],
].map(([positions, responses_per_position, band_claims_percent, headline_claims_percent]) => ({
  positions: positions!,
  responses_per_position: responses_per_position!,
  band_claims_percent: band_claims_percent!,
  headline_claims_percent: headline_claims_percent!,
}));

/** The counted plan that comes nearest from below: no more positions and no more responses at each than the plan has. */
export function countedClaims(plan: { positions: number; responses_per_position: number }): PlanClaims {
  const within = PLAN_CLAIMS.filter(
    (counted) => counted.positions <= plan.positions && counted.responses_per_position <= plan.responses_per_position,
  );
  const nearest = within.at(-1);
  if (nearest === undefined) throw new RangeError('a plan needs a position and a response');
  return nearest;
}
