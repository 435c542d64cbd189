import { DECAY_CONSTANT } from './absorption.ts';
import type { TargetBand } from './targets.ts';

/** A decay time in one octave with its 95 % interval, as a stage holds it. */
export interface DecayEstimate {
  centre_hz: number;
  time_s: number;
  standard_uncertainty_s: number;
  /** Half-width of the 95 % interval. */
  expanded_uncertainty_s: number;
}

/**
 * Where an octave stands: met, too-long and too-dead only where the whole 95 % interval says so; unclear where the interval reaches
 * over an edge of the tolerance.
 */
export type TargetState = 'met' | 'too-long' | 'too-dead' | 'unclear';

export interface BandDistance extends TargetBand {
  now_s: number;
  now_low_s: number;
  now_high_s: number;
  /** now - target, in seconds. */
  difference_s: number;
  /** Absorption still missing for the target, in square metres; negative where there is too much. */
  missing_m2: number;
  /** 95 % interval of it, from the uncertainty of the decay time. */
  missing_low_m2: number;
  missing_high_m2: number;
  /** Absorption missing to come just inside the tolerance, square metres; 0 where the reading lies inside. Negative: too much. */
  missing_to_tolerance_m2: number;
  state: TargetState;
}

/** Where a decay time stands to a tolerance, judged by its whole 95 % interval. */
export function targetState(now: DecayEstimate, band: TargetBand): TargetState {
  const low_s = now.time_s - now.expanded_uncertainty_s;
  const high_s = now.time_s + now.expanded_uncertainty_s;
  if (low_s > band.high_s) return 'too-long';
  if (high_s < band.low_s) return 'too-dead';
  return low_s >= band.low_s && high_s <= band.high_s ? 'met' : 'unclear';
}

/**
 * How far each octave that has both a reading and a target is from it: in seconds, and in square metres of absorption,
 * 55.3 V / c (1/T_target - 1/T_now) (Sabine's formula solved twice, ISO 354:2003 formula (5); air cancels).
 * The interval in square metres is that of the decay time turned over, ends and all. Octaves without both are left out.
 */
export function distanceToTarget(input: {
  volume_m3: number;
  speed_m_s: number;
  now: readonly DecayEstimate[];
  target: readonly TargetBand[];
}): BandDistance[] {
  const perSecond = (DECAY_CONSTANT * input.volume_m3) / input.speed_m_s;
  const missing = (from_s: number, to_s: number) => perSecond * (1 / to_s - 1 / from_s);
  return input.target.flatMap((band) => {
    const now = input.now.find((estimate) => estimate.centre_hz === band.centre_hz);
    if (now === undefined) return [];
    // A decay time cannot be nil: where the interval would reach there, it ends at a hundredth of the reading.
    const now_low_s = Math.max(now.time_s / 100, now.time_s - now.expanded_uncertainty_s);
    const now_high_s = now.time_s + now.expanded_uncertainty_s;
    const edge_s = Math.min(Math.max(now.time_s, band.low_s), band.high_s);
    return [
      {
        ...band,
        now_s: now.time_s,
        now_low_s,
        now_high_s,
        difference_s: now.time_s - band.target_s,
        missing_m2: missing(now.time_s, band.target_s),
        missing_low_m2: missing(now_low_s, band.target_s),
        missing_high_m2: missing(now_high_s, band.target_s),
        missing_to_tolerance_m2: missing(now.time_s, edge_s),
        state: targetState(now, band),
      },
    ];
  });
}
