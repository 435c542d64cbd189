import { powerToDb } from '../signal/decibels.ts';
import { type BandLevel, bandLevels } from './band-levels.ts';
import { aWeighted_db, noiseRating } from './noise-targets.ts';

/** The noise of a room without the source. */
export interface Background {
  seconds: number;
  octaves: BackgroundOctave[];
  /** Whether it was steady: no second louder by 6 dB than the middle one. A passing car or a door makes it a sample of that. */
  steady: boolean;
  /** Sound pressure level weighted A, dB relative to 20 uPa; null without a calibration. */
  level_dba: number | null;
  /** null without a calibration. */
  noise_rating: { rating: number; decided_by_hz: number } | null;
}

export interface BackgroundOctave {
  centre_hz: number;
  /** Mean square relative to full scale (1), dB. */
  level_db: number | null;
  /** Relative to the direct sound of the claps: mean power of the noise over that of the first 5 ms, 500 Hz and up. null without claps. */
  relative_db: number | null;
  /** Sound pressure level, dB relative to 20 uPa; null without a calibration. */
  pressure_level_db: number | null;
}

/** The length of the direct sound whose energy `direct` is. */
const DIRECT_S = 0.005;
const UNSTEADY_DB = 6;
const LEAST_S = 5;

/** What the levels of a background are set against; null where it is not known. */
export interface BackgroundReferences {
  /** Energy of the direct sound at the same gain, in squared amplitude times seconds (mean over responses). */
  direct: number | null;
  /** `offset_db` of a calibration at the same gain. */
  offset_db: number | null;
}

/**
 * Octave levels of a `background` take from 63 Hz to 8 kHz: against full scale, against the direct sound of the claps, and, where the
 * calibrator's tone was recorded at the same gain, as sound pressure levels with noise rating and A-weighted level. All that holds only at the gain of the
 * takes it is set against; recorder and microphone add their own noise, so a quiet room reads too loud and never too quiet.
 *
 * @returns null where the take is shorter than five seconds.
 */
export function readBackground(
  samples: Float64Array,
  { rate_hz, ...references }: { rate_hz: number } & BackgroundReferences,
): Background | null {
  const seconds = samples.length / rate_hz;
  if (seconds < LEAST_S) return null;
  const octaves = bandLevels(samples, { rate_hz, width: 'octave' }).map((band) => {
    return { ...band, relative_db: null, pressure_level_db: null };
  });
  const steady = isSteady(samples, rate_hz);
  return setAgainst({ seconds, octaves, steady, level_dba: null, noise_rating: null }, references);
}

/** The same background with its levels set against other references: they come from other takes than the background itself. */
export function setAgainst(background: Background, { direct, offset_db }: BackgroundReferences): Background {
  const octaves = background.octaves.map((band) => ({
    ...band,
    relative_db: direct ? shifted(band, -powerToDb(direct / DIRECT_S)) : null,
    pressure_level_db: offset_db === null ? null : shifted(band, offset_db),
  }));
  const absolute = octaves.map(({ centre_hz, pressure_level_db }) => ({ centre_hz, level_db: pressure_level_db }));
  return { ...background, octaves, level_dba: aWeighted_db(absolute), noise_rating: noiseRating(absolute) };
}

function shifted({ level_db }: BandLevel, by_db: number): number | null {
  return level_db === null ? null : level_db + by_db;
}

function isSteady(samples: Float64Array, rate_hz: number): boolean {
  const powers = Array.from({ length: Math.floor(samples.length / rate_hz) }, (_, i) => {
    return samples.subarray(i * rate_hz, (i + 1) * rate_hz).reduce((sum, x) => sum + x * x, 0);
  }).sort((a, b) => a - b);
  return powers.at(-1)! <= powers[Math.floor(powers.length / 2)]! * 10 ** (UNSTEADY_DB / 10);
}
