import type { BandQuantity, BandReading, BandWidth } from '../room/reading.ts';
import { cellModel } from './cell-model.ts';

/** ln(10^6): the decay of 60 dB, in energy. */
const SIXTY_DB = Math.log(1e6);
const NEPER_TO_DB = 10 / Math.LN10;

/** An impulse response counts as ten averaged decays of interrupted noise (ISO 3382-2:2008, clause 7). */
export const DECAYS_OF_AN_IMPULSE = 10;

/** Statistical over nominal bandwidth of a Butterworth octave or one-third-octave filter of six poles: (int H^2)^2 / int H^4. */
export const STATISTICAL_BANDWIDTH = 1.2265;

/** Width of a band in hertz as ISO 3382-2:2008, clause 7, takes it: 0.71 of the midband for octaves, 0.23 for one-third octaves. */
export function bandwidthHz(width: BandWidth, centre_hz: number): number {
  return (width === 'octave' ? 0.71 : 0.23) * centre_hz;
}

/**
 * Standard deviation of T20 over N positions, in seconds, by ISO 3382-2:2008, clause 7, after Davy, Dunn and Dubout,
 * Acustica 43 (1979): 0.88 T sqrt((1 + 1.90/n) / (N B T)). n decays at each position, ten for an impulse response.
 */
export function t20Spread(options: SpreadOptions): number {
  return standardSpread(options, 0.88, 1.9);
}

/** As t20Spread, for T30: 0.55 T sqrt((1 + 1.52/n) / (N B T)). */
export function t30Spread(options: SpreadOptions): number {
  return standardSpread(options, 0.55, 1.52);
}

export interface SpreadOptions {
  decay_s: number;
  bandwidth_hz: number;
  positions: number;
  /** Decays at each position; default 10. */
  decays?: number;
}

function standardSpread(options: SpreadOptions, factor: number, averaging: number): number {
  const { decay_s, bandwidth_hz, positions, decays = DECAYS_OF_AN_IMPULSE } = options;
  return factor * decay_s * Math.sqrt((1 + averaging / decays) / (positions * bandwidth_hz * decay_s));
}

/**
 * Theoretical variance of ln(T) over places of a full-range decay time read from one response: its Fisher information in the
 * cell model, the fit starting at 20 ms or a tenth of T. For planning; a reading carries its own standard error.
 */
export function fullRangeVariance(options: { decay_s: number; bandwidth_hz: number; range_db: number }): number {
  const { decay_s, bandwidth_hz, range_db } = options;
  const start_db = (60 * Math.min(0.02, 0.1 * decay_s)) / decay_s;
  const { variance } = cellModel({ range_db, start_db });
  return (variance * 60) / (STATISTICAL_BANDWIDTH * bandwidth_hz * decay_s);
}

/**
 * Theoretical variance of one reading at one place over places, in a diffuse field: the floor under whatever spread is seen.
 * Of ln(T) for decay times, else in the square of the quantity's unit. null where the reading holds nothing to reckon it from.
 *
 * - tfull_s: its Fisher standard error. t20_s, t30_s: ISO 3382-2:2008, clause 7.
 * - edt_s: 1.55 / sqrt(B T), own simulation of Gaussian noise under an exponential through a six-pole octave filter.
 * - Energy in a window of Gaussian noise of statistical bandwidth B under an envelope E spreads by int E^2 / (B (int E)^2)
 *   (Bendat and Piersol, Random Data, mean-square estimates). For E = exp(-kt), k = 13.8155 / T, that gives
 *   ln(early / late), split at te: k / (B (1 - exp(-k te))), hence C50, C80 and D50; ln(late): k / (2 B), hence the late level;
 *   centre time, weighted by (t - Ts)^2: 1 / (4 k B).
 */
export function floorVariance(quantity: BandQuantity, band: BandReading, decays = DECAYS_OF_AN_IMPULSE): number | null {
  if (quantity === 'tfull_s') return fisherVariance(band);
  const decay_s = decayOf(band);
  if (decay_s === null || band[quantity] === null) return null;
  const bandwidth_hz = bandwidthHz(band.width, band.centre_hz);
  const rate = SIXTY_DB / decay_s;
  const energy_variance = rate / (STATISTICAL_BANDWIDTH * bandwidth_hz);
  switch (quantity) {
    case 'edt_s':
      return 1.55 ** 2 / (bandwidth_hz * decay_s);
    case 't20_s':
      return (t20Spread({ decay_s, bandwidth_hz, positions: 1, decays }) / decay_s) ** 2;
    case 't30_s':
      return (t30Spread({ decay_s, bandwidth_hz, positions: 1, decays }) / decay_s) ** 2;
    case 'c50_db':
      return NEPER_TO_DB ** 2 * splitVariance(0.05, rate, energy_variance);
    case 'c80_db':
      return NEPER_TO_DB ** 2 * splitVariance(0.08, rate, energy_variance);
    case 'd50':
      return (band.d50! * (1 - band.d50!)) ** 2 * splitVariance(0.05, rate, energy_variance);
    case 'ts_s':
      return energy_variance / (4 * rate ** 2);
    case 'late_level_db':
      return NEPER_TO_DB ** 2 * (energy_variance / 2);
    default:
      return quantity satisfies never;
  }
}

function fisherVariance(band: BandReading): number | null {
  if (band.tfull_s === null || band.tfull_standard_error_s === null) return null;
  return (band.tfull_standard_error_s / band.tfull_s) ** 2;
}

/** Variance of the natural logarithm of early over late energy, split at `split_s`. */
function splitVariance(split_s: number, rate: number, energy_variance: number): number {
  return energy_variance / (1 - Math.exp(-rate * split_s));
}

/** The decay time the spread is reckoned from: the most precise one read, else the one a centre time of an exponential means. */
function decayOf(band: BandReading): number | null {
  const read = band.tfull_s ?? band.t30_s ?? band.t20_s ?? band.edt_s;
  if (read !== null) return read;
  return band.ts_s !== null && band.ts_s > 0 ? SIXTY_DB * band.ts_s : null;
}

/** How near a floor is to the least there can be: `standard`, that of ISO 3382-2 for T20 and T30, is itself too wide. */
export type FloorKind = 'least' | 'standard';

/** Whether the floor of a quantity is the least there can be, or ISO 3382-2's, about a fifth wider than ideal decays ask for. */
export function floorKind(quantity: BandQuantity): FloorKind {
  return quantity === 't20_s' || quantity === 't30_s' ? 'standard' : 'least';
}
