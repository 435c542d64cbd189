import type { Band } from '../signal/bands.ts';
import { powerToDb } from '../signal/decibels.ts';
import { type BandDecay, meanPower, usableEnd_s } from './band-decay.ts';
import { readClarity } from './clarity.ts';
import { type DecayModel, decayEnergy, LN_MILLION, rangeOf, timeAtPower } from './decay-model.ts';
import { type FullRangeDecay, fitFullRange } from './full-range-decay.ts';
import { lateLevel_db } from './late-level.ts';
import { BAND_QUANTITIES, type BandQuantity, type BandReading, type DecayCurve } from './reading.ts';
import { flag, refusal } from './refusal.ts';
import {
  curvature_percent,
  type DecayLine,
  decayLine,
  type SchroederCurve,
  schroederCurve,
  type Tail,
} from './schroeder.ts';
import { steadyEnd_s } from './steady-end.ts';
import { findTruncation, type Truncation } from './truncation.ts';

/** Level range needed over the noise. T20, T30: ISO 3382-1:2009, 4.2.1 and 5.3; EDT and the rest by the same margin of 10 dB. */
const RANGE_NEEDED_DB = { edt_s: 20, t20_s: 35, t30_s: 45, other: 20 } as const;
/** Least B*T of time-reversed filtering: Jacobsen and Rindel, J. Sound Vib. 117 (1987) 187-190; ISO 3382-1:2009, 7.3. */
const BT_NEEDED = 4;
const BT_FLAGGED = 8;
/** ISO 3382-2:2008, B.2 and B.3. */
const NONLINEARITY_MOST_PERMILLE = 10;
const CURVATURE_MOST_PERCENT = 10;

/** A range carried back to time zero stands no further over the strongest sound there is. */
const RANGE_OVER_STRONGEST_DB = 6;
/** Nor over this share of the power in the last tenth of the samples, whatever a fit makes of it. */
const FLOOR_SHARE = 0.3;
/** Nor over what the line of T20 carries back, save for the scatter of both. */
const RANGE_OVER_LINE_DB = 3;

const CURVE_STEPS = 2000;
const DRAWN_POINTS = 400;

/** A band of which nothing can be said, every quantity with the same reason. */
export function refusedBand({ width, centre_hz }: Band, reason: string, range_db: number | null = null): BandReading {
  const refusals = Object.fromEntries(BAND_QUANTITIES.map((quantity) => [quantity, reason]));
  return {
    width,
    centre_hz,
    range_db,
    edt_s: null,
    t20_s: null,
    t30_s: null,
    tfull_s: null,
    tfull_standard_error_s: null,
    nonlinearity_permille: null,
    curvature_percent: null,
    c50_db: null,
    c80_db: null,
    d50: null,
    ts_s: null,
    late_level_db: null,
    two_slopes: null,
    refusals,
    flags: {},
  };
}

/** Truncation, noise and missing tail, with the late rate (per second). */
type Cut = Tail & { rate: number };

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

export function readBand(options: { band: Band; decay: BandDecay; direct: number; statistical_hz: number }): {
  reading: BandReading;
  curve: DecayCurve | null;
} {
  const { band, direct, statistical_hz } = options;
  let { decay } = options;
  const { width, centre_hz, bandwidth_hz } = band;
  const refuseAll = (reason: string, range_db: number | null = null) => ({
    reading: refusedBand(band, reason, range_db),
    curve: null,
  });
  if (!(decay.cumulative[decay.end]! > 0)) return refuseAll(refusal.silent());
  let truncation = findTruncation(decay, bandwidth_hz);
  if (!truncation || truncation.time_s <= 0) return refuseAll(refusal.noDecay());
  const end_s = steadyEnd_s(decay, truncation, statistical_hz);
  if (end_s < usableEnd_s(decay)) {
    decay = { ...decay, end: decay.zero + Math.floor(end_s * decay.rate_hz) };
    truncation = findTruncation(decay, bandwidth_hz) ?? truncation;
  }
  const firstCut = cutOf(truncation);
  const first = readLines(schroederCurve(decay, firstCut, CURVE_STEPS));
  const decay_time_s = (first.t20 ?? first.edt)?.time_s ?? LN_MILLION / firstCut.rate;
  const noise = truncation.noise || meanPower(decay, 0.9 * end_s, end_s) / 2;
  const rough = { decay_time_s, crossing_s: truncation.time_s, noise };
  const full = fitFullRange(decay, rough, { bandwidth_hz, statistical_hz });
  const trusted = full && full.verdict !== 'misfit' && (full.model.noise > 0 || !truncation.met_noise);
  const tail = trusted ? cutOfModel(full.model, end_s) : firstCut;
  const curve = schroederCurve(decay, tail, CURVE_STEPS);
  const lines = readLines(curve);
  const fitted_db = full ? full.range_db : rangeOf(lateModel(truncation), truncation.time_s);
  const last = meanPower(decay, 0.9 * end_s, end_s);
  const floor = Math.max(tail.noise, tail.missing * tail.rate, FLOOR_SHARE * last);
  const range_db = Math.min(
    fitted_db,
    powerToDb(strongestPower(decay, tail.stop_s, bandwidth_hz) / floor) + RANGE_OVER_STRONGEST_DB,
    lines.t20 ? rangeOfLine(lines.t20, curve.whole, floor) + RANGE_OVER_LINE_DB : Number.POSITIVE_INFINITY,
  );
  const refusals: BandReading['refusals'] = {};
  const flags: BandReading['flags'] = {};
  const reading: BandReading = { ...refusedBand(band, ''), range_db, refusals, flags };

  const short = (needed_db: number) => (range_db < needed_db ? refusal.range({ range_db, needed_db }) : null);
  const t20Short = short(RANGE_NEEDED_DB.t20_s);
  const t20_s = t20Short || !lines.t20 ? null : lines.t20.time_s;
  const fullReason = refusalOfFull(full, lines) ?? short(RANGE_NEEDED_DB.other);
  const vouching_s = t20_s ?? (short(RANGE_NEEDED_DB.other) ? null : vouchedByFit(full));
  if (vouching_s === null) {
    const reason = short(RANGE_NEEDED_DB.other) ?? refusal.notVouched();
    for (const quantity of BAND_QUANTITIES) refusals[quantity] = reason;
    if (t20Short) refusals.t20_s = t20Short;
    const t30Short = short(RANGE_NEEDED_DB.t30_s);
    if (t30Short) refusals.t30_s = t30Short;
    return { reading, curve: null };
  }
  const bt = bandwidth_hz * vouching_s;
  if (bt < BT_NEEDED) return refuseAll(refusal.tooShort(bt), range_db);

  const give = (quantity: BandQuantity, value: number | null | undefined, reason: string | null) => {
    if (reason !== null || value === null || value === undefined) refusals[quantity] = reason ?? refusal.cutShort();
    else {
      reading[quantity] = value;
      if (bt < BT_FLAGGED) flags[quantity] = flag.shortDecay(bt);
    }
  };
  give('edt_s', lines.edt?.time_s, short(RANGE_NEEDED_DB.edt_s));
  give('t20_s', lines.t20?.time_s, t20Short);
  give('t30_s', lines.t30?.time_s, short(RANGE_NEEDED_DB.t30_s));
  give('tfull_s', full?.time_s, fullReason);
  if (reading.tfull_s !== null) reading.tfull_standard_error_s = full!.standard_error_s;
  if (full?.two_slopes) reading.two_slopes = full.two_slopes;
  if (full?.cut_at_db && reading.tfull_s !== null) flags.tfull_s = flag.cutAbove(full.cut_at_db);
  else if (full && full.dispersion > 1 && reading.tfull_s !== null) flags.tfull_s = flag.unsteady();
  flagShape(reading, lines);
  const clarity = readClarity(decay, tail, tail.rate);
  for (const quantity of ['c50_db', 'c80_db', 'd50', 'ts_s'] as const) {
    give(quantity, clarity?.[quantity], short(RANGE_NEEDED_DB.other));
  }
  give('late_level_db', lateLevel_db(decay, tail, direct), short(RANGE_NEEDED_DB.other));
  const noise_db = tail.noise > 0 ? -range_db : null;
  return { reading, curve: { width, centre_hz, truncation_s: tail.stop_s, noise_db, ...drawn(curve) } };
}

interface Lines {
  edt: DecayLine | null;
  t20: DecayLine | null;
  t30: DecayLine | null;
}

function readLines(curve: SchroederCurve): Lines {
  const start_db = curve.level_db[0] ?? 0;
  return {
    edt: decayLine(curve, { from_db: 0, to_db: -10, reference_db: start_db }),
    t20: decayLine(curve, { from_db: -5, to_db: -25 }),
    t30: decayLine(curve, { from_db: -5, to_db: -35 }),
  };
}

/** Decay time that a fit vouches for: of one slope, or of the early one of two. */
function vouchedByFit(full: FullRangeDecay | null): number | null {
  if (!full || full.verdict === 'misfit') return null;
  return full.verdict === 'two-slopes' ? full.two_slopes!.early_s : full.time_s;
}

function refusalOfFull(full: FullRangeDecay | null, lines: Lines): string | null {
  if (!full) return lines.t20 ? refusal.fit() : refusal.fewCells();
  if (full.verdict === null) return null;
  return full.verdict === 'two-slopes' ? refusal.twoSlopes() : refusal.fit();
}

/** Non-linearity of the longest line given, curvature where both lines are, with their flags. */
function flagShape(reading: BandReading, lines: Lines): void {
  const { flags } = reading;
  for (const [quantity, line] of [
    ['t20_s', lines.t20],
    ['t30_s', lines.t30],
  ] as const) {
    if (reading[quantity] === null || !line) continue;
    reading.nonlinearity_permille = line.nonlinearity_permille;
    if (line.nonlinearity_permille > NONLINEARITY_MOST_PERMILLE)
      flags[quantity] = flag.nonlinear(line.nonlinearity_permille);
  }
  if (reading.t20_s === null || reading.t30_s === null) return;
  reading.curvature_percent = curvature_percent(reading.t20_s, reading.t30_s);
  if (reading.curvature_percent > CURVATURE_MOST_PERCENT) {
    flags.t20_s = flag.curved(reading.curvature_percent);
    flags.t30_s = flags.t20_s;
  }
}

/** The curve thinned for drawing, relative to its value at time zero. */
function drawn({ step_s, level_db }: SchroederCurve): { step_s: number; level_db: number[] } {
  const every = Math.max(1, Math.ceil(level_db.length / DRAWN_POINTS));
  const start_db = level_db[0] ?? 0;
  const thinned: number[] = [];
  for (let i = 0; i < level_db.length; i += every) thinned.push(level_db[i]! - start_db);
  return { step_s: step_s * every, level_db: thinned };
}
