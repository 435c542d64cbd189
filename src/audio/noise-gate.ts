import { type LevelTrace, meanLevel_db, SILENCE_DB } from './level-trace.ts';

export interface GateCut {
  /** Level at which the tail was cut, relative to the loudest millisecond of the event; negative. */
  level_db: number;
  /** The same relative to full scale: where the threshold of a gate lies, whatever the event. */
  threshold_db: number;
  to_silence: boolean;
}

/** In the first milliseconds the direct sound passes and reflections come singly. */
const DIRECT_FRAMES = 10;
/**
 * A step: within `fall` frames the level falls by `excess_db` more than the pace of the `before` frames ahead of it would
 * have it, and `ratio` times as fast. A decay falls ever more slowly, never suddenly faster. Common practice, no source.
 */
const STEPS = [
  { fall: 15, before: 40, excess_db: 8, ratio: 2.5 },
  { fall: 30, before: 40, excess_db: 9, ratio: 2 },
  { fall: 50, before: 60, excess_db: 10, ratio: 1.8 },
] as const;
const WINDOW = 10;
/** No gate is set so near the loudest millisecond, dB: there it is the sound itself that ends, as a vowel does. */
const HIGHEST_CUT_DB = -12;
/** After a gate has shut, the level stays down for at least so long. */
const STAYS_FRAMES = 60;
const STAYS_SHARE = 0.6;
/** So much of the step must be left when the loudest frames are not counted: a single reflection that leaves the window is none. */
const STEADY_SHARE = 0.8;

/**
 * Whether a gate or noise reduction cut the tail of an event: a sudden step down in the level, or digital silence where the
 * tail was well above the resolution.
 *
 * @param trace level of the signal
 * @param from frame of the direct sound
 * @param to end of the stretch in which nothing else sounds
 * @param resolution_db level of one step of the coding relative to full scale; SILENCE_DB for float
 */
export function gateCut(
  trace: LevelTrace,
  stretch: { from: number; to: number; resolution_db: number },
): GateCut | null {
  const fall = suddenFall(trace, stretch);
  return fall !== null && fall.level_db <= HIGHEST_CUT_DB ? fall : null;
}

/** Whether a sound stops of itself while it is still about as loud as at first: a vowel does, a clap in a room never. */
export function stopsWhileLoud(trace: LevelTrace, { from, to }: { from: number; to: number }): boolean {
  const fall = suddenFall(trace, { from, to, resolution_db: SILENCE_DB });
  return fall !== null && fall.level_db > HIGHEST_CUT_DB;
}

/** The first sudden step down in the level; null where there is none. */
function suddenFall(
  trace: LevelTrace,
  { from, to, resolution_db }: { from: number; to: number; resolution_db: number },
): GateCut | null {
  let peak_db = SILENCE_DB;
  for (let frame = from; frame < Math.min(from + 10, trace.frames); frame++) {
    peak_db = Math.max(peak_db, meanLevel_db(trace, frame, frame + 1));
  }
  const levels = new Float64Array(Math.max(0, to - from) + 1);
  for (let i = 0; i < levels.length; i++) levels[i] = meanLevel_db(trace, from + i, from + i + WINDOW);
  const level = (frame: number) => levels[frame - from]!;
  for (let frame = from + DIRECT_FRAMES + STEPS[0].before; frame + WINDOW < to; frame++) {
    const now_db = level(frame);
    if (now_db < resolution_db + 6) return null;
    for (const { fall, before, excess_db, ratio } of STEPS) {
      if (frame + WINDOW + fall > to || frame - before < from + DIRECT_FRAMES) continue;
      const fell_db = now_db - level(frame + fall);
      const expected_db = (Math.max(0, level(frame - before) - now_db) * fall) / before;
      if (fell_db < expected_db + excess_db || fell_db < ratio * expected_db) continue;
      const later_db = highest(level, frame + fall, Math.min(frame + fall + STAYS_FRAMES, to - WINDOW));
      if (later_db > now_db - STAYS_SHARE * fell_db) continue;
      const steadily_db = steadyLevel_db(trace, frame) - steadyLevel_db(trace, frame + fall);
      if (steadily_db < STEADY_SHARE * fell_db) continue;
      return {
        level_db: now_db - peak_db,
        threshold_db: now_db,
        to_silence: level(frame + fall + WINDOW) <= SILENCE_DB,
      };
    }
  }
  return null;
}

/** Level over a window but for its two loudest frames, which a single reflection or one pass of a flutter echo may fill. */
function steadyLevel_db(trace: LevelTrace, start: number): number {
  const { cumulative, frames, frame_samples } = trace;
  const end = start + WINDOW;
  if (end > frames) return meanLevel_db(trace, start, end);
  let [most, second] = [0, 0];
  for (let frame = start; frame < end; frame++) {
    const energy = cumulative[frame + 1]! - cumulative[frame]!;
    if (energy > most) [most, second] = [energy, most];
    else if (energy > second) second = energy;
  }
  // The rest of a sum that lost nearly all of it is rounding.
  const rest = cumulative[end]! - cumulative[start]! - most - second;
  if (!(rest > 1e-14 * cumulative[end]!)) return SILENCE_DB;
  return Math.max(SILENCE_DB, 10 * Math.log10(rest / ((WINDOW - 2) * frame_samples)));
}

function highest(level: (frame: number) => number, from: number, to: number): number {
  let most = SILENCE_DB;
  for (let frame = from; frame < to; frame += 5) most = Math.max(most, level(frame));
  return most;
}
