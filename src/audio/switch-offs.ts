import { type LevelTrace, levelTrace, meanLevel_db, quietLevel_db } from './level-trace.ts';

/** A steady noise switched off, with the decay after it. Indices into the samples of the take. */
export interface SwitchOff {
  switch_off_sample: number;
  /** From here to the switch-off the noise was steady. */
  steady_from_sample: number;
  /** First sample that no longer belongs to the decay and the quiet after it: the noise is on again, or something else sounds. */
  end_sample: number;
}

const STEP_S = 0.02;
/** The noise must have been steady so long (ISO 3382-2:2008 asks for some seconds; rooms with T under 1 s settle in half). */
const STEADY_S = 0.5;
const STEADY_WITHIN_DB = 4;
/** It must stand so far over the quiet of the take, and fall by most of that. */
const LEAST_DROP_DB = 25;
/** What rises so far over the quiet, once reached, ends the decay. */
const DISTURBED_DB = 10;
/** Two levels below the steady one that the fall is traced back from, to where it began. */
const LEAVES_BY_DB = 3;
const FALLEN_BY_DB = 13;

interface Steps {
  level_db: Float64Array;
  floor_db: number;
  frames: number;
}

/**
 * Every switch-off of an interrupted noise in a take, in order of time: the level steady within 4 dB for half a second, then down by
 * 25 dB or more to the quiet of the take without coming up in between. Talk and music are never steady so long, a clap is never on so
 * long. Empty where there is none. Common practice, no source: thresholds by trial.
 *
 * @param samples one channel, full scale 1.
 */
export function switchOffs(samples: Float64Array, rate_hz: number): SwitchOff[] {
  const trace = levelTrace(samples, rate_hz);
  const steps = stepLevels(trace);
  const found: SwitchOff[] = [];
  const held = Math.round(STEADY_S / STEP_S);
  for (let i = held; i + 1 < steps.level_db.length; i += 1) {
    const steady_db = steadyLevel(steps.level_db.subarray(i - held, i));
    if (steady_db === null || steady_db < steps.floor_db + LEAST_DROP_DB) continue;
    const landed = fallFrom(steps, { from: i, steady_db });
    if (landed === null) continue;
    const end = disturbedFrom(steps, landed);
    found.push({
      switch_off_sample: beginningOfFall(trace, { from: (i - 2) * steps.frames, to: landed * steps.frames, steady_db }),
      steady_from_sample: (i - held) * steps.frames * trace.frame_samples,
      end_sample: Math.min(samples.length, end * steps.frames * trace.frame_samples),
    });
    i = landed;
  }
  return found;
}

function stepLevels(trace: LevelTrace): Steps {
  const frames = Math.round(STEP_S / trace.frame_s);
  const count = Math.floor(trace.frames / frames);
  const level_db = Float64Array.from({ length: count }, (_, i) => meanLevel_db(trace, i * frames, (i + 1) * frames));
  return { level_db, frames, floor_db: quietLevel_db(trace) };
}

function steadyLevel(level_db: Float64Array): number | null {
  let [lowest, highest, sum] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 0];
  for (const level of level_db)
    [lowest, highest, sum] = [Math.min(lowest, level), Math.max(highest, level), sum + level];
  return highest - lowest <= STEADY_WITHIN_DB ? sum / level_db.length : null;
}

/** The step at which the level has come down from `from` on; null where it is still on at the next step, or comes back before. */
function fallFrom(
  { level_db, floor_db }: Steps,
  { from, steady_db }: { from: number; steady_db: number },
): number | null {
  const target_db = Math.max(floor_db + DISTURBED_DB / 2, steady_db - 60);
  if (level_db[from + 1]! > steady_db - LEAVES_BY_DB) return null;
  for (let i = from; i < level_db.length; i += 1) {
    if (i > from + 1 && level_db[i]! > steady_db - LEAVES_BY_DB) return null;
    if (level_db[i]! <= target_db) return i;
  }
  return null;
}

function disturbedFrom({ level_db }: Steps, landed: number): number {
  let lowest_db = level_db[landed]!;
  for (let i = landed; i < level_db.length; i += 1) {
    lowest_db = Math.min(lowest_db, level_db[i]!);
    if (level_db[i]! > lowest_db + DISTURBED_DB) return i - 1;
  }
  return level_db.length;
}

/** Where a straight fall through the two levels leaves the steady one; sought between the frames `from` and `to`. */
function beginningOfFall(trace: LevelTrace, range: { from: number; to: number; steady_db: number }): number {
  const leaves = lastAtLevel(trace, { ...range, level_db: range.steady_db - LEAVES_BY_DB });
  const fallen = lastAtLevel(trace, { ...range, level_db: range.steady_db - FALLEN_BY_DB });
  const back = ((fallen - leaves) * LEAVES_BY_DB) / (FALLEN_BY_DB - LEAVES_BY_DB);
  return Math.round(Math.max(range.from, leaves - back) * trace.frame_samples);
}

/** The frame after the last two that are at the level. */
function lastAtLevel(trace: LevelTrace, range: { from: number; to: number; level_db: number }): number {
  let last = range.from;
  for (let frame = range.from; frame < range.to; frame += 1) {
    if (meanLevel_db(trace, frame, frame + 2) > range.level_db) last = frame + 2;
  }
  return last;
}
