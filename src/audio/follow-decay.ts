import { type LevelTrace, meanLevel_db } from './level-trace.ts';

/** What became of the sound after an event. Frames are those of the trace. */
export interface Decay {
  /** The first frame at which the decay has come down to the noise; null where it never does. */
  reached: number | null;
  /** Where something else starts to sound, or the end of the trace. */
  end: number;
  /** Whether something else started to sound. False: the recording ended. */
  disturbed: boolean;
  /** By how much the disturbance rises over the decay, in dB; 0 where there is none. */
  disturbance_db: number;
  /** The lowest level reached before the end. */
  lowest_db: number;
}

export interface FollowOptions {
  /** First frame after the direct sound. */
  from: number;
  floor_db: number;
  /** Length of the stretches whose levels are compared, in frames. */
  window: number;
  /** A rise by so much over the lowest level so far is something else. */
  rise_db: number;
}

/** A decay within so much of the quiet level of the file has come down to the noise. */
const AT_NOISE_DB = 7;

/**
 * Follows the level after an event until something else rises above the decay, or the recording ends.
 * A decay only falls; so whatever stands clearly above the lowest level so far is another sound.
 */
export function followDecay(trace: LevelTrace, { from, floor_db, window, rise_db }: FollowOptions): Decay {
  let lowest_db = Number.POSITIVE_INFINITY;
  let reached: number | null = null;
  for (let frame = from; frame + window <= trace.frames; frame++) {
    const level = meanLevel_db(trace, frame, frame + window);
    lowest_db = Math.min(lowest_db, level);
    if (reached === null && level <= floor_db + AT_NOISE_DB) reached = frame;
    const rise = level - Math.max(lowest_db, floor_db);
    if (rise < rise_db) continue;
    const end = startOfRise(trace, frame, window, level - rise / 2);
    return { reached, end, disturbed: true, disturbance_db: rise, lowest_db };
  }
  if (!Number.isFinite(lowest_db)) lowest_db = meanLevel_db(trace, from, trace.frames);
  return { reached, end: trace.frames, disturbed: false, disturbance_db: 0, lowest_db };
}

/** Within the window in which the mean level has risen, the frame from which on it stays above the given level. */
function startOfRise(trace: LevelTrace, frame: number, window: number, level_db: number): number {
  const span = Math.max(2, Math.round(window / 8));
  let at = frame + window - span;
  while (at > frame && meanLevel_db(trace, at - 1, at - 1 + span) > level_db) at--;
  return at;
}
