import type { Band } from '../signal/bands.ts';
import type { BandDecay } from './band-decay.ts';
import { readClarity } from './clarity.ts';
import type { FullRangeDecay } from './full-range-decay.ts';
import { lateLevel_db } from './late-level.ts';
import { type BandMeasurement, type Lines, measureBand } from './measure-band.ts';
import { noiseError } from './noise-error.ts';
import { BAND_QUANTITIES, type BandQuantity, type BandReading, type DecayCurve } from './reading.ts';
import { flag, refusal } from './refusal.ts';
import { curvature_percent, type SchroederCurve } from './schroeder.ts';

/** Level range needed over the noise. T20, T30: ISO 3382-1:2009, 4.2.1 and 5.3; EDT and the rest by the same margin of 10 dB. */
const RANGE_NEEDED_DB = { edt_s: 20, t20_s: 35, t30_s: 45, other: 20 } as const;
/** Least B*T of time-reversed filtering: Jacobsen and Rindel, J. Sound Vib. 117 (1987) 187-190; ISO 3382-1:2009, 7.3. */
const BT_NEEDED = 4;
const BT_FLAGGED = 8;
/** ISO 3382-2:2008, B.2 and B.3. */
const NONLINEARITY_MOST_PERMILLE = 10;
const CURVATURE_MOST_PERCENT = 10;

/** Noise may move a time by so much, relative: the just noticeable difference (ISO 3382-1:2009, Table A.1). */
const NOISE_ERROR_MOST = 0.05;

const DRAWN_POINTS = 400;

/** A band of which nothing can be said, every quantity with the same reason. */
export function refusedBand({ width, centre_hz }: Band, reason: string, range_db: number | null = null): BandReading {
  const refusals = Object.fromEntries(BAND_QUANTITIES.map((quantity) => [quantity, reason]));
  return {
    width,
    centre_hz,
    // A decay into nothing but zeros has a range without end, which is no number.
    range_db: range_db !== null && Number.isFinite(range_db) ? range_db : null,
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

/**
 * The reading of one band by the rules: range needed for each quantity, B*T of at least 4 by a decay time that T20 or a fit
 * vouches for, flags from B*T under 8, non-linearity and curvature. `direct` is the energy of the response's direct sound.
 *
 * The curve is null where the whole band is refused.
 */
export function readBand(options: { band: Band; decay: BandDecay; direct: number; statistical_hz: number }): {
  reading: BandReading;
  curve: DecayCurve | null;
} {
  const { band, decay, direct } = options;
  if (!(decay.cumulative[decay.end]! > decay.cumulative[0]!))
    return { reading: refusedBand(band, refusal.silent()), curve: null };
  const measured = measureBand(options);
  if (!measured) return { reading: refusedBand(band, refusal.noDecay()), curve: null };
  const { range_db, cut, curve } = measured;
  const vouching_s = vouchedTime_s(measured);
  if (vouching_s === null) return { reading: unvouched(band, range_db), curve: null };
  const bt = band.bandwidth_hz * vouching_s;
  if (bt < BT_NEEDED) return { reading: refusedBand(band, refusal.tooShort(bt), range_db), curve: null };
  const { width, centre_hz } = band;
  const noise_db = cut.noise > 0 ? -range_db : null;
  return {
    reading: givenReading({ band, measured, direct, bt }),
    curve: { width, centre_hz, truncation_s: cut.stop_s, noise_db, ...drawn(curve) },
  };
}

/** The reason where the range falls short, else null. */
function short(range_db: number, needed_db: number): string | null {
  return range_db >= needed_db ? null : refusal.range({ range_db, needed_db });
}

/** Decay time that vouches for a band: T20, else that of a fit; null where neither does. */
function vouchedTime_s({ range_db, lines, full }: BandMeasurement): number | null {
  if (lines.t20 && range_db >= RANGE_NEEDED_DB.t20_s) return lines.t20.time_s;
  return range_db >= RANGE_NEEDED_DB.other ? vouchedByFit(full) : null;
}

/** Every quantity refused, each for the range it needs where that is the reason. */
function unvouched(band: Band, range_db: number): BandReading {
  const reading = refusedBand(band, short(range_db, RANGE_NEEDED_DB.other) ?? refusal.notVouched(), range_db);
  for (const quantity of ['t20_s', 't30_s'] as const) {
    const reason = short(range_db, RANGE_NEEDED_DB[quantity]);
    if (reason) reading.refusals[quantity] = reason;
  }
  return reading;
}

function givenReading(options: { band: Band; measured: BandMeasurement; direct: number; bt: number }): BandReading {
  const { band, measured, direct, bt } = options;
  const { decay, cut, lines, full, range_db } = measured;
  const reading: BandReading = { ...refusedBand(band, '', range_db), refusals: {}, flags: {} };
  const give = (quantity: BandQuantity, value: number | null | undefined, reason: string | null) => {
    if (reason !== null || value === null || value === undefined) {
      reading.refusals[quantity] = reason ?? refusal.cutShort();
      return;
    }
    reading[quantity] = value;
    if (bt < BT_FLAGGED) reading.flags[quantity] = flag.shortDecay(bt);
  };
  give('edt_s', lines.edt?.time_s, short(range_db, RANGE_NEEDED_DB.edt_s));
  give('t20_s', lines.t20?.time_s, short(range_db, RANGE_NEEDED_DB.t20_s));
  give('t30_s', lines.t30?.time_s, short(range_db, RANGE_NEEDED_DB.t30_s));
  const otherShort = short(range_db, RANGE_NEEDED_DB.other);
  const refusedFull = refusalOfFull(full, lines);
  give('tfull_s', full?.time_s, refusedFull ?? otherShort);
  const clarity = readClarity(decay, cut, cut.rate);
  for (const quantity of ['c50_db', 'c80_db', 'd50', 'ts_s'] as const) give(quantity, clarity?.[quantity], otherShort);
  give('late_level_db', lateLevel_db(decay, cut, direct), otherShort);
  reading.two_slopes = full?.two_slopes ?? null;
  if (cut.noise > 0) flagNoise(reading, { range_db, bt });
  flagShape(reading, lines);
  flagFull(reading, full);
  if (refusedFull === refusal.fit()) flagMisfit(reading);
  return reading;
}

/** Times that the noise of this one response may have moved by more than is just noticeable. */
function flagNoise(reading: BandReading, known: { range_db: number; bt: number }): void {
  for (const quantity of ['edt_s', 't20_s', 't30_s'] as const) {
    if (reading[quantity] === null || noiseError(quantity, known) <= NOISE_ERROR_MOST) continue;
    reading.flags[quantity] ??= flag.noisy();
  }
}

/** The decay times beside a full-range fit that fails: they may be right where the fault lies below them, or wrong with it. */
function flagMisfit(reading: BandReading): void {
  for (const quantity of ['edt_s', 't20_s', 't30_s'] as const) {
    if (reading[quantity] !== null) reading.flags[quantity] ??= flag.misfit();
  }
}

/** The standard error of the full-range time, and how its fit is to be read. */
function flagFull(reading: BandReading, full: FullRangeDecay | null): void {
  if (reading.tfull_s === null || !full) return;
  reading.tfull_standard_error_s = full.standard_error_s;
  if (full.two_slopes && full.cut_at_db === null) reading.flags.tfull_s = flag.twoSlopesAlike();
  else if (full.cut_at_db !== null) reading.flags.tfull_s = flag.cutAbove(full.cut_at_db);
  else if (full.dispersion > 1) reading.flags.tfull_s = flag.unsteady();
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
    // What noise alone bends is said to be noise.
    if (line.nonlinearity_permille > NONLINEARITY_MOST_PERMILLE && flags[quantity] !== flag.noisy())
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
