import { type Simulated, simulateResponse } from './simulated-response.ts';

/** Two slopes of which the late one is the larger term from `crossing_db` under the early one's start down to the noise. */
export interface TwoSlopeSetting {
  early_s: number;
  late_s: number;
  /** Depth at which the two terms are equal, below the early one at time zero. */
  crossing_db: number;
  /** The late slope falls by so much from the crossing until it meets the noise. */
  held_db: number;
}

/** Noise after the late slope has met it. */
export const SLOPE_TAIL_S = 0.4;

/** Levels of the late slope and of the noise, relative to the early slope at time zero. */
export function levelsOf({ early_s, late_s, crossing_db, held_db }: TwoSlopeSetting): {
  late_db: number;
  range_db: number;
} {
  return { late_db: -crossing_db * (1 - early_s / late_s), range_db: crossing_db + held_db };
}

/** A response of the setting: Gaussian noise under the two exponentials, in steady noise. */
export function twoSlopeResponse(
  setting: TwoSlopeSetting,
  { seed, rate_hz }: { seed: number; rate_hz: number },
): Simulated {
  const { late_db, range_db } = levelsOf(setting);
  const second = { decay_time_s: setting.late_s, level_db: late_db };
  return simulateResponse({ seed, decay_time_s: setting.early_s, range_db, rate_hz, tail_s: SLOPE_TAIL_S, second });
}
