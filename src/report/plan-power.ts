import type { Project } from '../project/project.ts';
import { wantedTakes } from '../project/wanted-takes.ts';
import { detectableChange_percent } from '../statistics/plan.ts';

/** A treated small room decays in about this time, and a clap in a quiet one stands about so far over the noise (common practice, no source). */
export const EXPECTED_DECAY_S = 0.3;
export const EXPECTED_RANGE_DB = 50;

/** Octaves a plan is reckoned in. */
export const PLANNED_BANDS_HZ = [125, 250, 500, 1000, 2000, 4000] as const;

/** What one plan, the same in both stages, can find. */
export interface PlanPower {
  positions: number;
  responses_per_position: number;
  /** Whether it is the one that the purpose of the room asks for. */
  wanted: boolean;
  /** The smallest change of the full-range decay time found with 90 % chance at 95 % confidence, by octave. */
  bands: { centre_hz: number; detectable_percent: number }[];
}

/**
 * What can be found before anything is recorded: by one clap at one position, by the plan wanted for the purpose of the room, and
 * by more positions. Reckoned for a decay of 0.3 s, 50 dB over the noise.
 */
export function planPowers({ purpose }: Pick<Project, 'purpose'>): PlanPower[] {
  const wanted = wantedTakes(purpose);
  const plans = [
    [1, 1],
    [1, wanted.responses],
    [2, wanted.responses],
    [3, wanted.responses],
    [6, wanted.responses],
  ] as const;
  return plans.map(([positions, responses_per_position]) => ({
    positions,
    responses_per_position,
    wanted: positions === wanted.positions && responses_per_position === wanted.responses,
    bands: PLANNED_BANDS_HZ.map((centre_hz) => ({
      centre_hz,
      detectable_percent: detectableChange_percent({
        positions,
        responses_per_position,
        width: 'octave',
        centre_hz,
        decay_s: EXPECTED_DECAY_S,
        range_db: EXPECTED_RANGE_DB,
      }),
    })),
  }));
}
