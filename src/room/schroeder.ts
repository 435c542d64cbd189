import { curveToDb } from '../signal/decibels.ts';
import { Workspace } from '../signal/workspace.ts';
import { type BandDecay, energyUntil } from './band-decay.ts';
import { fitGridLine } from './line.ts';

/** What the integration needs besides the decay: where to stop, the noise to take off, the tail to add. */
export interface Tail {
  stop_s: number;
  /** Mean power of the noise. */
  noise: number;
  /** Energy of the decay from `stop_s` to infinity. */
  missing: number;
}

/**
 * Energy of the decay from `time_s` on: the backward integral up to the truncation point, less the noise, plus the missing tail.
 * Time before zero counts with the energy that reversed filtering puts there, and no noise is taken off it.
 *
 * Source: Schroeder, J. Acoust. Soc. Am. 37 (1965) 409-412; ISO 3382-1:2009, 5.3.3 for the tail; noise subtraction after Chu,
 * J. Acoust. Soc. Am. 63 (1978) 1444-1445 (all from memory).
 */
export function energyFrom(decay: BandDecay, tail: Tail, time_s: number): number {
  const noiseTime_s = tail.stop_s - Math.max(0, time_s);
  return energyUntil(decay, tail.stop_s) - energyUntil(decay, time_s) - tail.noise * noiseTime_s + tail.missing;
}

/** The backward-integrated decay on a uniform grid from time zero. */
export interface SchroederCurve {
  step_s: number;
  /** The whole energy, that before time zero included: 0 dB. */
  whole: number;
  /** dB relative to the whole energy, that before time zero included; ends before the energy would turn negative. */
  level_db: Float64Array;
}

/**
 * As `energyFrom`, at `count` steps from time zero to the truncation point, both ends included.
 *
 * @param workspace holds them, until it is used again; left out, they have memory of their own.
 */
export function energiesFrom(
  decay: BandDecay,
  tail: Tail,
  { count, workspace = new Workspace() }: { count: number; workspace?: Workspace },
): Float64Array {
  const step_s = tail.stop_s / count;
  const end = energyUntil(decay, tail.stop_s) + tail.missing;
  const out = workspace.take(count + 1);
  for (let i = 0; i <= count; i++) {
    const time_s = i * step_s;
    out[i] = end - energyUntil(decay, time_s) - tail.noise * (tail.stop_s - time_s);
  }
  return out;
}

/**
 * Curve of `count` steps from time zero to the truncation point.
 *
 * @param workspace holds its levels, until it is used again; left out, they have memory of their own.
 */
export function schroederCurve(decay: BandDecay, tail: Tail, count: number, workspace?: Workspace): SchroederCurve {
  const whole = energyFrom(decay, tail, Number.NEGATIVE_INFINITY);
  const energies = energiesFrom(decay, tail, { count, ...(workspace && { workspace }) });
  let length = 0;
  while (length < energies.length && energies[length]! > 0) length++;
  const level_db = energies.subarray(0, length);
  curveToDb(level_db, whole);
  return { step_s: tail.stop_s / count, whole, level_db };
}

/** A decay time read off a curve. */
export interface DecayLine {
  /** Time of a fall by 60 dB along the line. */
  time_s: number;
  /** Level of the line at time zero, in dB relative to the whole energy. */
  level_db: number;
  /** Non-linearity xi = 1000 (1 - r^2): ISO 3382-2:2008, B.2. */
  nonlinearity_permille: number;
}

/**
 * Decay time from the least-squares line over the part of the curve between two levels, in dB above or at `reference_db`.
 *
 * Source: ISO 3382-1:2009, 3.5 and A.2.2; ISO 3382-2:2008, clause 6. EDT 0 to -10 dB, T20 -5 to -25, T30 -5 to -35.
 *
 * Returns null where the curve does not reach the lower level or has fewer than three points between.
 */
export function decayLine(
  curve: SchroederCurve,
  options: { from_db: number; to_db: number; reference_db?: number },
): DecayLine | null {
  const { level_db, step_s } = curve;
  const reference_db = options.reference_db ?? 0;
  const top_db = reference_db + options.from_db;
  const bottom_db = reference_db + options.to_db;
  let first = 0;
  while (first < level_db.length && level_db[first]! > top_db) first++;
  let stop = first;
  while (stop < level_db.length && level_db[stop]! >= bottom_db) stop++;
  if (stop === level_db.length || stop - first < 3) return null;
  const line = fitGridLine(level_db.subarray(first, stop), { start: first * step_s, step: step_s });
  if (!line || line.slope >= 0) return null;
  return { time_s: -60 / line.slope, level_db: line.intercept, nonlinearity_permille: 1000 * (1 - line.r_squared) };
}

/** Curvature C = 100 (T30/T20 - 1) per cent: ISO 3382-2:2008, B.3. */
export function curvature_percent(t20_s: number, t30_s: number): number {
  return 100 * (t30_s / t20_s - 1);
}
