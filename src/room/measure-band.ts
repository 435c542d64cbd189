import type { Band } from '../signal/bands.ts';
import { powerToDb } from '../signal/decibels.ts';
import { Workspace } from '../signal/workspace.ts';
import { type BandDecay, meanPower, usableEnd_s } from './band-decay.ts';
import { type DecayModel, decayEnergy, LN_MILLION, rangeOf, timeAtPower } from './decay-model.ts';
import { type FullRangeDecay, fitFullRange } from './full-range-decay.ts';
import { type DecayLine, decayLine, type SchroederCurve, schroederCurve, type Tail } from './schroeder.ts';
import { steadyEnd_s } from './steady-end.ts';
import { findTruncation, type Truncation } from './truncation.ts';

/** A range carried back to time zero stands no further over the strongest sound there is. */
const RANGE_OVER_STRONGEST_DB = 6;
/** Nor over this share of the power in the last tenth of the samples, whatever a fit makes of it. */
const FLOOR_SHARE = 0.3;
/** Nor over what the line of T20 carries back, save for the scatter of both. */
const RANGE_OVER_LINE_DB = 3;

/** A tail that falls more slowly than this share of the early decay is noise that drifts (common practice, no source). */
const LATE_OVER_EARLY_MOST = 6;

const CURVE_STEPS = 2000;
/** Enough to start a fit from. */
const ROUGH_STEPS = 400;
/** One band is measured after the other. */
const memory = { rough: new Workspace(), curve: new Workspace() };

/** Truncation, noise and missing tail, with the late rate (per second). */
export type Cut = Tail & { rate: number };

export interface Lines {
  edt: DecayLine | null;
  t20: DecayLine | null;
  t30: DecayLine | null;
}

/** All that is measured in a band, before any rule says what of it may be given. */
export interface BandMeasurement {
  /** Up to where the noise is steady. */
  decay: BandDecay;
  cut: Cut;
  /** Good until the next band is measured. */
  curve: SchroederCurve;
  lines: Lines;
  full: FullRangeDecay | null;
  /** Level of the fitted decay at time zero over the noise, or over what is left where the samples end. */
  range_db: number;
}

/**
 * Truncation, integrated curve, decay lines, full-range fit and range of a band.
 *
 * The iteration of `findTruncation` comes first; where a fitted model then describes the decay, its noise, crossing and tail take the
 * place of the iteration's, since they rest on all of the decay and not on its last decibels. Measured over simulated decays
 * of 0.15 s and 40 dB range in the 250 Hz octave, the 95th percentile of the error of T20 by noise fell from 80 to about 12 %.
 *
 * Returns null where no decay stands out of the noise.
 */
export function measureBand(options: { band: Band; decay: BandDecay; statistical_hz: number }): BandMeasurement | null {
  const { bandwidth_hz } = options.band;
  const steady = withSteadyNoise(options.decay, options);
  if (!steady) return null;
  const { decay, truncation, full, last } = steady;
  const end_s = usableEnd_s(decay);
  const first = cutOf(truncation);
  const trusted = full && full.verdict !== 'misfit' && (full.model.noise > 0 || !truncation.met_noise);
  const cut = trusted ? cutOfModel(full.model, end_s) : first;
  const curve = schroederCurve(decay, cut, CURVE_STEPS, memory.curve);
  const lines = readLines(curve);
  const floor = Math.max(cut.noise, cut.missing * cut.rate, FLOOR_SHARE * last);
  const range_db = Math.min(
    full ? full.range_db : rangeOf(lateModel(truncation), truncation.time_s),
    powerToDb(strongestPower(decay, cut.stop_s, bandwidth_hz) / floor) + RANGE_OVER_STRONGEST_DB,
    lines.t20 ? rangeOfLine(lines.t20, curve.whole, floor) + RANGE_OVER_LINE_DB : Number.POSITIVE_INFINITY,
  );
  return { decay, cut, curve, lines, full, range_db };
}

/** A single slope that is fitted without noise, where the iteration has met noise, has taken the noise for decay: a misfit. */
function contradicted(full: FullRangeDecay | null, truncation: Truncation): FullRangeDecay | null {
  const swallowed = full && full.model.noise === 0 && full.model.slopes.length === 1 && truncation.met_noise;
  return swallowed ? { ...full, verdict: 'misfit' } : full;
}

interface SteadyDecay {
  decay: BandDecay;
  truncation: Truncation;
  full: FullRangeDecay | null;
  /** Mean power of the last tenth. */
  last: number;
}

type In = { band: Band; statistical_hz: number };

/**
 * The decay up to where its noise is steady, with truncation and fit there. A late slope low over the noise looks like noise
 * that falls: the decay stays whole where a fit of all of it finds two slopes over steady noise.
 */
function withSteadyNoise(decay: BandDecay, options: In): SteadyDecay | null {
  const truncation = findTruncation(decay, options.band.bandwidth_hz);
  if (!truncation || truncation.time_s <= 0) return null;
  const end_s = steadyEnd_s(decay, truncation, options.statistical_hz);
  if (end_s >= usableEnd_s(decay)) return fitted(decay, truncation, options);
  const whole = fitted(decay, truncation, options);
  if (hasLateSlope(whole.full)) return whole;
  const shorter = { ...decay, end: decay.zero + Math.floor(end_s * decay.rate_hz) };
  return fitted(shorter, findTruncation(shorter, options.band.bandwidth_hz) ?? truncation, options);
}

function hasLateSlope(full: FullRangeDecay | null): boolean {
  if (!full?.two_slopes || !(full.model.noise > 0)) return false;
  return full.two_slopes.late_s < LATE_OVER_EARLY_MOST * full.two_slopes.early_s;
}

function fitted(decay: BandDecay, truncation: Truncation, { band, statistical_hz }: In): SteadyDecay {
  const { bandwidth_hz } = band;
  const end_s = usableEnd_s(decay);
  const first = cutOf(truncation);
  const last = meanPower(decay, 0.9 * end_s, end_s);
  const lines = readLines(schroederCurve(decay, first, ROUGH_STEPS, memory.rough));
  const decay_time_s = (lines.t20 ?? lines.edt)?.time_s ?? LN_MILLION / first.rate;
  const rough = { decay_time_s, crossing_s: truncation.time_s, noise: truncation.noise || last / 2 };
  const full = contradicted(fitFullRange(decay, rough, { bandwidth_hz, statistical_hz }), truncation);
  return { decay, truncation, full, last };
}

/** From the iteration alone: the tail goes on with the late slope. */
function cutOf(truncation: Truncation): Cut {
  const rate = (-truncation.late_slope_db_s * Math.LN10) / 10;
  const power = 10 ** ((truncation.late_level_db + truncation.late_slope_db_s * truncation.time_s) / 10);
  return { stop_s: truncation.time_s, noise: truncation.noise, missing: power / rate, rate };
}

/** Mean power of the strongest cell of 1/bandwidth from time zero on. */
function strongestPower(decay: BandDecay, stop_s: number, bandwidth_hz: number): number {
  const step_s = 1 / bandwidth_hz;
  let strongest = 0;
  for (let t = 0; t < stop_s; t += step_s) strongest = Math.max(strongest, meanPower(decay, t, t + step_s));
  return strongest;
}

/** Level at time zero, over `floor`, of the exponential whose backward integral is the line. */
function rangeOfLine({ time_s, level_db }: DecayLine, whole: number, floor: number): number {
  return level_db + powerToDb((whole * LN_MILLION) / time_s / floor);
}

function lateModel({ late_level_db, late_slope_db_s, noise }: Truncation): DecayModel {
  return { slopes: [{ amplitude: 10 ** (late_level_db / 10), rate: (-late_slope_db_s * Math.LN10) / 10 }], noise };
}

/** From the fitted model: the same three, from all of the decay and the noise instead of the last decibels. */
function cutOfModel(model: DecayModel, end_s: number): Cut {
  const stop_s = model.noise > 0 ? Math.min(end_s, timeAtPower(model, model.noise)) : end_s;
  const rate = Math.min(...model.slopes.map((slope) => slope.rate));
  return { stop_s, noise: model.noise, missing: decayEnergy(model, stop_s), rate };
}

function readLines(curve: SchroederCurve): Lines {
  const start_db = curve.level_db[0] ?? 0;
  return {
    edt: decayLine(curve, { from_db: 0, to_db: -10, reference_db: start_db }),
    t20: decayLine(curve, { from_db: -5, to_db: -25 }),
    t30: decayLine(curve, { from_db: -5, to_db: -35 }),
  };
}
