/** What is read from one response: the numbers per band, each with its quality, or null and the reason it is refused. */

import type { DecayLevels } from './decay-levels.ts';

/** The bands everything is read and compared in. */
export const BAND_WIDTHS = ['octave', 'third-octave'] as const;
export type BandWidth = (typeof BAND_WIDTHS)[number];

/** Quantities read per band. `_s` seconds, `_db` decibels, d50 a share from 0 to 1. */
export const BAND_QUANTITIES = [
  'edt_s',
  't20_s',
  't30_s',
  'tfull_s',
  'c50_db',
  'c80_db',
  'd50',
  'ts_s',
  'late_level_db',
] as const;
export type BandQuantity = (typeof BAND_QUANTITIES)[number];

export interface TwoSlopes {
  /** The early and the late decay time, and the level of the late slope at time zero relative to the early one. */
  early_s: number;
  late_s: number;
  late_level_db: number;
  /** Where the two slopes cross. */
  crossing_s: number;
}

export interface BandReading {
  width: BandWidth;
  /** Nominal midband frequency. */
  centre_hz: number;
  /** Level of the band's decay, its fitted envelope carried back to time zero, over the noise; null also where there is no noise at all. */
  range_db: number | null;
  edt_s: number | null;
  t20_s: number | null;
  t30_s: number | null;
  tfull_s: number | null;
  tfull_standard_error_s: number | null;
  nonlinearity_permille: number | null;
  curvature_percent: number | null;
  c50_db: number | null;
  c80_db: number | null;
  d50: number | null;
  ts_s: number | null;
  /** Energy from 20 ms on, relative to the response's own broadband direct sound (first 5 ms, 500 Hz and up). */
  late_level_db: number | null;
  /** Set where the decay has two slopes. tfull_s is refused for it, save where the flag says what it then stands for. */
  two_slopes: TwoSlopes | null;
  /** Why a quantity is null. */
  refusals: Partial<Record<BandQuantity, string>>;
  /** Why a given value is to be read with care (non-linearity, curvature, B*T under 8). */
  flags: Partial<Record<BandQuantity, string>>;
}

/** The backward-integrated decay of a band, thinned for drawing. Levels are dB relative to its value at time zero. */
export interface DecayCurve {
  width: BandWidth;
  centre_hz: number;
  step_s: number;
  level_db: ArrayLike<number>;
  /** Noise level on the same scale as level_db of the squared response, null where there is none to speak of. */
  noise_db: number | null;
  /** Where the integration was cut (Lundeby). */
  truncation_s: number;
}

/** A reflection in the first 50 ms, within 20 dB of the direct sound. */
export interface Reflection {
  delay_s: number;
  extra_path_m: number;
  level_db: number;
}

export interface ResponseReading {
  bands: BandReading[];
  curves: DecayCurve[];
  /** The decay of each octave from 125 Hz up, to be held against that of other claps. */
  levels: DecayLevels[];
  /** Energy-time curve of the first 50 ms, 0.5 to 8 kHz, dB relative to the direct sound. */
  early: { step_s: number; level_db: ArrayLike<number> };
  reflections: Reflection[];
}
