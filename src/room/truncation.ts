import { powerToDb } from '../signal/decibels.ts';
import { type BandDecay, energyUntil, meanPower, usableEnd_s } from './band-decay.ts';
import { fitLine } from './line.ts';

/** Where the decay meets the noise. */
export interface Truncation {
  /** Seconds after time zero at which the late slope meets the noise, or the usable samples end. */
  time_s: number;
  /** Mean power of the noise; 0 where the decay has not met it. */
  noise: number;
  /** Late decay: level in dB at time zero, and its slope in dB a second (negative). */
  late_level_db: number;
  late_slope_db_s: number;
  /** False where the samples end before the decay has met the noise. */
  met_noise: boolean;
}

/** Clear of the noise by this much, in dB, when a slope is fitted (5 to 10 dB in the source). */
const CLEAR_DB = 10;
/** Span of the late slope in dB (10 to 20 dB in the source). */
const LATE_SPAN_DB = 15;
const STEPS_IN_TEN_DB = 6;
/** Least share of steady noise in the noise window for it to count as met. */
const NOISE_SHARE = 0.3;
/** A crossing within this share of the samples has met the noise, whatever a late slope leaves there. */
const CLEARLY_MET = 0.8;
const ROUNDS = 8;
/** A line that comes down from further above the strongest level is that of a sound long after time zero, and no decay from there. */
const BELIEVED_DB = 1000;

interface Steps {
  time_s: Float64Array;
  level_db: Float64Array;
}

function averaged(decay: BandDecay, step_s: number, until_s: number): Steps {
  const count = Math.max(0, Math.floor(until_s / step_s));
  const time_s = new Float64Array(count);
  const level_db = new Float64Array(count);
  let before = energyUntil(decay, 0);
  for (let i = 0; i < count; i++) {
    const after = energyUntil(decay, (i + 1) * step_s);
    time_s[i] = (i + 0.5) * step_s;
    level_db[i] = powerToDb((after - before) / step_s);
    before = after;
  }
  return { time_s, level_db };
}

/** The line through the levels from the step at or after the maximum under `top_db` down to the first under `bottom_db`. */
function slopeBetween(steps: Steps, top_db: number, bottom_db: number): { slope: number; intercept: number } | null {
  const { time_s, level_db } = steps;
  let first = 0;
  for (let i = 1; i < level_db.length; i++) if (level_db[i]! > level_db[first]!) first = i;
  let stop = first;
  while (stop < level_db.length && level_db[stop]! > bottom_db) stop++;
  for (let i = first; i < stop; i++) if (level_db[i]! > top_db) first = i + 1;
  if (stop - first < 3) first = Math.max(0, stop - 3);
  const line = fitLine(time_s.subarray(first, stop), level_db.subarray(first, stop));
  return line && line.slope < 0 ? line : null;
}

function strongest_db({ level_db }: Steps): number {
  return level_db.reduce((most, level) => Math.max(most, level), Number.NEGATIVE_INFINITY);
}

/** What the fitted decay still leaves, as mean power, between two times. */
function leftOver(late: { slope: number; intercept: number }, from_s: number, to_s: number): number {
  const rate = (-late.slope * Math.LN10) / 10;
  const level = 10 ** (late.intercept / 10);
  return (level * (Math.exp(-rate * from_s) - Math.exp(-rate * to_s))) / (rate * (to_s - from_s));
}

/**
 * The point where the decay meets the noise, and the noise, by the iteration of Lundeby, Vigran, Bietz and Vorlander, Acustica
 * 81 (1995) 344-355 (steps from memory): averaged levels, first noise from the last tenth, first slope, then noise and late
 * slope in turn until the crossing stays. One departure, for recordings cut soon after the decay: what the fitted decay still
 * leaves in the noise window is taken off the noise, and where most of it is decay the noise is 0 and the integration runs to
 * the end of the samples. The first step is 1/bandwidth or 5 ms, for rooms with decays near 0.1 s.
 *
 * Returns null where no falling slope stands out of the noise, or none that could have begun at time zero.
 */
export function findTruncation(decay: BandDecay, bandwidth_hz: number): Truncation | null {
  const end_s = usableEnd_s(decay);
  const firstStep_s = Math.max(0.005, 1 / bandwidth_hz);
  if (end_s < 4 * firstStep_s) return null;
  let from_s = 0.9 * end_s;
  let noise = meanPower(decay, from_s, end_s);
  const first = slopeBetween(
    averaged(decay, firstStep_s, end_s),
    Number.POSITIVE_INFINITY,
    powerToDb(noise) + CLEAR_DB,
  );
  if (!first) return null;
  let late = first;
  let crossing_s = (powerToDb(noise) - late.intercept) / late.slope;
  const step_s = Math.max(10 / -first.slope / STEPS_IN_TEN_DB, 0.5 / bandwidth_hz);
  const levels = averaged(decay, step_s, end_s);
  for (let round = 0; round < ROUNDS; round++) {
    from_s = Math.min(Math.max(0, crossing_s) + CLEAR_DB / -late.slope, 0.9 * end_s);
    noise = meanPower(decay, from_s, end_s);
    const bottom_db = powerToDb(noise) + CLEAR_DB;
    const next = slopeBetween(levels, bottom_db + LATE_SPAN_DB, bottom_db);
    if (!next) break;
    late = next;
    const crossing = (powerToDb(noise) - late.intercept) / late.slope;
    const settled = Math.abs(crossing - crossing_s) < 0.002 * crossing;
    crossing_s = crossing;
    if (settled) break;
  }
  if (!(late.intercept - strongest_db(levels) < BELIEVED_DB)) return null;
  const steady = noise - leftOver(late, from_s, end_s);
  const met_noise = steady > NOISE_SHARE * noise || crossing_s < CLEARLY_MET * end_s;
  const level = Math.max(steady, NOISE_SHARE * noise);
  if (met_noise) crossing_s = (powerToDb(level) - late.intercept) / late.slope;
  const cut = !met_noise || crossing_s >= end_s;
  return {
    time_s: cut ? end_s : Math.max(0, crossing_s),
    noise: met_noise ? level : 0,
    late_level_db: late.intercept,
    late_slope_db_s: late.slope,
    met_noise,
  };
}
