import { BandFilter, fitsRate } from '../signal/band-filter.ts';
import { bandsOf } from '../signal/bands.ts';
import { powerToDb } from '../signal/decibels.ts';

export interface BandLevel {
  /** Nominal midband. */
  centre_hz: number;
  /** Mean square relative to 1, dB: a sine at full scale has -3.01. null where the rate or the length cannot hold the band, or in silence. */
  level_db: number | null;
}

/** Filters settle within this many times 1/bandwidth: so much at both ends of the sound is left out. */
const SETTLE = 2;
/** What is left must hold so many independent values, else the level is chance: B t of 100 has a standard deviation of 0.4 dB. */
const LEAST_BT = 100;

/** Levels of a steady or long sound in octaves from 63 Hz to 8 kHz, or one-third octaves from 50 Hz to 10 kHz, filters as for decays (IEC 61260-1:2014). */
export function bandLevels(
  samples: Float64Array,
  options: { rate_hz: number; width: 'octave' | 'third-octave' },
): BandLevel[] {
  const filter = new BandFilter({ samples, rate_hz: options.rate_hz, zero: 0 });
  return bandsOf(options.width).map((band) => {
    const { centre_hz, bandwidth_hz } = band;
    const seconds = samples.length / options.rate_hz - (2 * SETTLE) / bandwidth_hz;
    if (!fitsRate(band, options.rate_hz) || bandwidth_hz * seconds < LEAST_BT) return { centre_hz, level_db: null };
    const { samples: filtered, rate_hz } = filter.filter(band, 0);
    const edge = Math.round((SETTLE / bandwidth_hz) * rate_hz);
    const middle = filtered.subarray(edge, filtered.length - edge);
    const power = middle.reduce((sum, x) => sum + x * x, 0) / middle.length;
    return { centre_hz, level_db: power > 0 ? powerToDb(power) : null };
  });
}
