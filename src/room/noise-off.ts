import { BandFilter, fitsRate } from '../signal/band-filter.ts';
import { type Band, bandsOf } from '../signal/bands.ts';
import { powerToDb } from '../signal/decibels.ts';
import { type BandDecay, bandDecay, meanPower, usableEnd_s } from './band-decay.ts';
import { fitLine, type Line } from './line.ts';
import { refusedBand } from './read-band.ts';
import { BAND_QUANTITIES, type BandReading, type BandWidth, type DecayCurve } from './reading.ts';
import { flag, refusal } from './refusal.ts';
import { curvature_percent } from './schroeder.ts';

/** One decay of an interrupted noise, as it stands in its take. */
export interface NoiseDecay {
  samples: Float64Array;
  switch_off_sample: number;
  /** The noise is steady from here to the switch-off. */
  steady_from_sample: number;
  /** The decay and the quiet after it end here. */
  end_sample: number;
}

export interface NoiseOffReading {
  /** Decay times T20 and T30 and their shape; every other quantity is null, since interrupted noise does not give it. */
  bands: BandReading[];
  /** The averaged decay, dB relative to the steady level. Not backward-integrated. */
  curves: DecayCurve[];
  /** Decays averaged: the n of ISO 3382-2:2008, clause 7, by which the spread of T20 and T30 is known. */
  decays: number;
}

const RANGE_NEEDED_DB = { t20_s: 35, t30_s: 45 } as const;
const LINES = { t20_s: [-5, -25], t30_s: [-5, -35] } as const;
/**
 * Time-reversed filtering asks for B*T of 4 (Jacobsen and Rindel, J. Sound Vib. 117 (1987) 187-190; ISO 3382-1:2009, 7.3). The B*T read
 * off a few decays of noise scatters by half there, so twice as much is asked for, and flagged up to 16.
 */
const BT_NEEDED = 8;
const BT_FLAGGED = 16;
/** ISO 3382-2:2008, B.2 and B.3. */
const NONLINEARITY_MOST_PERMILLE = 10;
const CURVATURE_MOST_PERCENT = 10;
/** The averaged decay is read in steps in which it falls by this much, but none shorter than half of 1/bandwidth. */
const STEP_DB = 2.5;
const STEPS_PER_BANDWIDTH = 0.5;
/** The steady level is that of so much of the noise, up to a little before the switch-off. */
const STEADY_S = 2;
const STEADY_MARGIN_S = 0.02;
/** The last fifth of the common length is taken for the noise of the room. */
const NOISE_SHARE = 0.2;
const ROUNDS = 6;

/**
 * Decay times from repeats of an interrupted noise at one position, octave or third-octave bands.
 *
 * Each decay is filtered backwards in time, set against its own steady level, and the squared pressures of all are averaged with
 * their switch-offs together (ensemble averaging: ISO 3382-2:2008, 5.3 and ISO 354:2003, from memory). The noise of the room is taken
 * off the mean, and T20 and T30 are least-squares lines over -5 to -25 and -5 to -35 dB below the steady level (ISO 3382-2:2008,
 * clause 6), refused under 35 and 45 dB of range or under B*T of 8.
 *
 * How far T20 and T30 of n decays spread over positions stands in ISO 3382-2:2008, clause 7, with n = `decays`.
 * @throws RangeError where `decays` is empty.
 */
export function readNoiseOff(
  decays: readonly NoiseDecay[],
  options: { rate_hz: number; widths: readonly BandWidth[] },
): NoiseOffReading {
  if (decays.length === 0) throw new RangeError('no decay given');
  const cuts = decays.map((decay) => cut(decay, options.rate_hz));
  const bands: BandReading[] = [];
  const curves: DecayCurve[] = [];
  for (const band of options.widths.flatMap((width) => bandsOf(width))) {
    if (!fitsRate(band, options.rate_hz)) {
      bands.push(refusedBand(band, refusal.overRate(options.rate_hz)));
      continue;
    }
    const { reading, curve } = readBandOf(band, ensembleOf(cuts, band));
    bands.push(reading);
    if (curve) curves.push(curve);
  }
  return { bands, curves, decays: decays.length };
}

interface Cut {
  filter: BandFilter;
  /** Steady noise before, and sound after, the switch-off. */
  steady_s: number;
  after_s: number;
}

function cut(decay: NoiseDecay, rate_hz: number): Cut {
  const from = Math.max(decay.steady_from_sample, decay.switch_off_sample - Math.round(STEADY_S * rate_hz));
  const samples = decay.samples.subarray(from, decay.end_sample);
  const zero = decay.switch_off_sample - from;
  return {
    filter: new BandFilter({ samples, rate_hz, zero }),
    steady_s: zero / rate_hz,
    after_s: (samples.length - zero) / rate_hz,
  };
}

/** The decays of a band, each with its steady power. */
interface Ensemble {
  members: { decay: BandDecay; steady: number }[];
  end_s: number;
}

function ensembleOf(cuts: readonly Cut[], band: Band): Ensemble {
  const members = cuts.map(({ filter, steady_s, after_s }) => {
    const decay = bandDecay(filter.filter(band, steady_s), after_s);
    return { decay, steady: meanPower(decay, -steady_s, -STEADY_MARGIN_S) };
  });
  return { members, end_s: Math.min(...members.map(({ decay }) => usableEnd_s(decay))) };
}

/** Mean over the repeats of power relative to the steady power, between two times. */
function meanShare({ members }: Ensemble, from_s: number, to_s: number): number {
  return members.reduce((sum, { decay, steady }) => sum + meanPower(decay, from_s, to_s) / steady, 0) / members.length;
}

function readBandOf(band: Band, ensemble: Ensemble): { reading: BandReading; curve: DecayCurve | null } {
  if (!ensemble.members.every(({ steady }) => steady > 0))
    return { reading: refusedBand(band, refusal.silent()), curve: null };
  const noise = meanShare(ensemble, (1 - NOISE_SHARE) * ensemble.end_s, ensemble.end_s);
  const range_db = -powerToDb(noise);
  const read = (quantity: keyof typeof LINES) => readLine(ensemble, { band, noise, levels_db: LINES[quantity] });
  const t20 = range_db < RANGE_NEEDED_DB.t20_s ? null : read('t20_s');
  if (!t20) {
    const reason = range_db < RANGE_NEEDED_DB.t20_s ? tooNoisy(range_db, 't20_s') : refusal.noDecay();
    return { reading: refusedBand(band, reason, range_db), curve: null };
  }
  const t30 = range_db < RANGE_NEEDED_DB.t30_s ? null : read('t30_s');
  // The shorter of the two: chance alone often makes one of them long where B*T is small.
  const bt = band.bandwidth_hz * Math.min(t20.time_s, t30?.time_s ?? t20.time_s);
  if (bt < BT_NEEDED) return { reading: refusedBand(band, tooShort(bt), range_db), curve: null };
  const t30Reason = range_db < RANGE_NEEDED_DB.t30_s ? tooNoisy(range_db, 't30_s') : refusal.cutShort();
  const refusals: BandReading['refusals'] = {};
  for (const quantity of BAND_QUANTITIES) refusals[quantity] = 'not read from interrupted noise';
  delete refusals.t20_s;
  if (t30) delete refusals.t30_s;
  else refusals.t30_s = t30Reason;
  const reading: BandReading = {
    ...refusedBand(band, ''),
    range_db,
    t20_s: t20.time_s,
    t30_s: t30?.time_s ?? null,
    nonlinearity_permille: (t30 ?? t20).nonlinearity_permille,
    curvature_percent: t30 ? curvature_percent(t20.time_s, t30.time_s) : null,
    refusals,
    flags: flagsOf(bt, { t20, t30 }),
  };
  return { reading, curve: curveOf(band, ensemble, { noise, step_s: stepOf(t20.time_s, band) }) };
}

function tooNoisy(range_db: number, quantity: keyof typeof RANGE_NEEDED_DB): string {
  return refusal.range({ range_db, needed_db: RANGE_NEEDED_DB[quantity] });
}

function tooShort(bt: number): string {
  return `B·T ${bt.toFixed(1)}, ${BT_NEEDED} needed of interrupted noise`;
}

interface TimeOfLine {
  time_s: number;
  nonlinearity_permille: number;
}

function stepOf(time_s: number, { bandwidth_hz }: Band): number {
  return Math.max((STEP_DB * time_s) / 60, STEPS_PER_BANDWIDTH / bandwidth_hz);
}

/**
 * The line between two levels. Its ends are where the line itself passes the levels, found in rounds: ends picked by the first step
 * above or below a level would follow its fluctuation.
 */
function readLine(
  ensemble: Ensemble,
  { band, noise, levels_db }: { band: Band; noise: number; levels_db: readonly [number, number] },
): TimeOfLine | null {
  const [top_db, bottom_db] = levels_db;
  let from_s = 0;
  let to_s = firstBelow(ensemble, { level_db: bottom_db, step_s: Math.max(0.005, 1 / band.bandwidth_hz) });
  let time_s = to_s === null ? 0 : (-60 / bottom_db) * to_s;
  if (to_s === null) return null;
  let line: Line | null = null;
  for (let round = 0; round < ROUNDS; round += 1) {
    line = lineBetween(ensemble, { from_s, to_s, noise, step_s: stepOf(time_s, band) });
    if (!line || line.slope >= 0) return null;
    time_s = -60 / line.slope;
    from_s = Math.max(0, (top_db - line.intercept) / line.slope);
    to_s = Math.min(ensemble.end_s, (bottom_db - line.intercept) / line.slope);
  }
  return line && { time_s, nonlinearity_permille: 1000 * (1 - line.r_squared) };
}

function firstBelow(ensemble: Ensemble, { level_db, step_s }: { level_db: number; step_s: number }): number | null {
  for (let t = 0; t + step_s <= ensemble.end_s; t += step_s) {
    if (powerToDb(meanShare(ensemble, t, t + step_s)) < level_db) return t + step_s / 2;
  }
  return null;
}

function lineBetween(
  ensemble: Ensemble,
  { from_s, to_s, noise, step_s }: { from_s: number; to_s: number; noise: number; step_s: number },
): Line | null {
  const count = Math.max(3, Math.round((to_s - from_s) / step_s));
  const width_s = (to_s - from_s) / count;
  const times: number[] = [];
  const levels: number[] = [];
  for (let i = 0; i < count; i += 1) {
    const share = meanShare(ensemble, from_s + i * width_s, from_s + (i + 1) * width_s) - noise;
    if (!(share > 0)) continue;
    times.push(from_s + (i + 0.5) * width_s);
    levels.push(powerToDb(share));
  }
  return times.length < 3 ? null : fitLine(times, levels);
}

function flagsOf(bt: number, { t20, t30 }: { t20: TimeOfLine; t30: TimeOfLine | null }): BandReading['flags'] {
  const flags: BandReading['flags'] = {};
  const note = (words: string) => {
    flags.t20_s ??= words;
    if (t30) flags.t30_s ??= words;
  };
  const nonlinearity = (t30 ?? t20).nonlinearity_permille;
  const curvature = t30 ? curvature_percent(t20.time_s, t30.time_s) : 0;
  if (bt < BT_FLAGGED) note(`B·T ${bt.toFixed(1)}, under ${BT_FLAGGED}: few repeats of noise tell little here`);
  if (curvature > CURVATURE_MOST_PERCENT) note(flag.curved(curvature));
  if (nonlinearity > NONLINEARITY_MOST_PERMILLE) note(flag.nonlinear(nonlinearity));
  return flags;
}

function curveOf(band: Band, ensemble: Ensemble, { noise, step_s }: { noise: number; step_s: number }): DecayCurve {
  const noise_db = powerToDb(noise);
  const level_db: number[] = [];
  for (let t = 0; t + step_s <= ensemble.end_s; t += step_s) {
    const level = powerToDb(meanShare(ensemble, t, t + step_s));
    if (!(level > noise_db + 3)) break;
    level_db.push(level);
  }
  return {
    width: band.width,
    centre_hz: band.centre_hz,
    step_s,
    level_db,
    noise_db,
    truncation_s: level_db.length * step_s,
  };
}
