import { type BandLevel, bandLevels } from './band-levels.ts';
import { loudness } from './loudness.ts';
import { loudnessFilter, weighted } from './loudness-filter.ts';

/** What a take of speech or music tells: how loud, of what colour, and how far its pauses fall. */
export interface Passage {
  seconds: number;
  /** ITU-R BS.1770, gated; null in silence or under 400 ms. */
  integrated_lufs: number | null;
  momentary_max_lufs: number | null;
  short_term_max_lufs: number | null;
  /** Long-term average spectrum in one-third octaves, mean square relative to full scale (1), dB. */
  spectrum: BandLevel[];
  /** Level in the gaps relative to the passage, dB (negative); null with the reason in `pause_refusal`. */
  pause_level_db: number | null;
  pause_refusal: string | null;
}

/** Mean square under the last bit of 24: what a filter leaves of zeros. */
const DIGITAL_SILENCE = 1e-15;
/** Long enough to follow a gap between words, too long for one between the swings of a voice. */
const STEP_S = 0.05;
/** The level that is exceeded nine tenths of the time, as background levels are given in ISO 1996-1. */
const QUIET_SHARE = 0.1;
const LEAST_S = 10;
/** Without a fall of so much there were no pauses. */
const LEAST_FALL_DB = 6;

/**
 * Loudness, long-term spectrum and pause level of a `passage` take. The pause level is the K-weighted level of 50 ms exceeded nine tenths
 * of the time, over the gated loudness (common practice, no source): reverberation and noise fill pauses, so it falls when a room is treated, but it
 * also depends on the speaker, the text and the recorder's noise. Like is to be compared with like: the same text, voice and distance.
 */
export function readPassage(samples: Float64Array, options: { rate_hz: number }): Passage {
  const { rate_hz } = options;
  const seconds = samples.length / rate_hz;
  const { integrated_lufs, momentary_max_lufs, short_term_max_lufs } = loudness([samples], { rate_hz });
  const fall = pauseLevel(samples, { rate_hz, integrated_lufs });
  return {
    seconds,
    integrated_lufs,
    momentary_max_lufs,
    short_term_max_lufs,
    spectrum: bandLevels(samples, { rate_hz, width: 'third-octave' }),
    pause_level_db: typeof fall === 'number' ? fall : null,
    pause_refusal: typeof fall === 'number' ? null : fall,
  };
}

function pauseLevel(
  samples: Float64Array,
  { rate_hz, integrated_lufs }: { rate_hz: number; integrated_lufs: number | null },
): number | string {
  if (integrated_lufs === null) return 'the passage is silent';
  if (samples.length < LEAST_S * rate_hz) return `${(samples.length / rate_hz).toFixed(1)} s long, ${LEAST_S} needed`;
  const step = Math.round(STEP_S * rate_hz);
  const filtered = weighted(samples, loudnessFilter(rate_hz));
  const powers = Float64Array.from({ length: Math.floor(filtered.length / step) }, (_, i) => {
    return filtered.subarray(i * step, (i + 1) * step).reduce((sum, x) => sum + x * x, 0) / step;
  }).sort();
  const quiet = powers[Math.floor(QUIET_SHARE * powers.length)]!;
  if (quiet < DIGITAL_SILENCE) return 'the pauses are digital silence: a gate or an edit made them';
  const fall_db = -0.691 + 10 * Math.log10(quiet) - integrated_lufs;
  return fall_db > -LEAST_FALL_DB ? 'the passage has no pauses' : fall_db;
}

export interface SpectrumChange {
  centre_hz: number;
  /** After less before, each relative to its own sum over the bands both have: colour, not loudness. */
  difference_db: number;
}

/** How the colour of the sound changed from one passage to another, band by band; bands that either lacks are left out. */
export function spectrumChange(before: readonly BandLevel[], after: readonly BandLevel[]): SpectrumChange[] {
  const pairs = before.flatMap(({ centre_hz, level_db }) => {
    const other_db = after.find((band) => band.centre_hz === centre_hz)?.level_db ?? null;
    return level_db === null || other_db === null ? [] : [{ centre_hz, from_db: level_db, to_db: other_db }];
  });
  const sum_db = (levels: number[]) => 10 * Math.log10(levels.reduce((sum, level) => sum + 10 ** (level / 10), 0));
  const shift_db = sum_db(pairs.map(({ to_db }) => to_db)) - sum_db(pairs.map(({ from_db }) => from_db));
  return pairs.map(({ centre_hz, from_db, to_db }) => ({ centre_hz, difference_db: to_db - from_db - shift_db }));
}

/** The louder of two matched clips peaks here at most, so that nothing is clipped in play. */
const PEAK_DB = -3;

/**
 * Gains in dB that bring two passages to one loudness (ITU-R BS.1770), with both peaks at -3 dB or below. null where either is silent.
 */
export function matchingGains_db(
  before: { samples: Float64Array; integrated_lufs: number | null },
  after: { samples: Float64Array; integrated_lufs: number | null },
): { before: number; after: number } | null {
  if (before.integrated_lufs === null || after.integrated_lufs === null) return null;
  const room = ({ samples }: { samples: Float64Array }) => {
    return PEAK_DB - 20 * Math.log10(samples.reduce((most, x) => Math.max(most, Math.abs(x)), 0));
  };
  const target_lufs = Math.min(before.integrated_lufs + room(before), after.integrated_lufs + room(after));
  return { before: target_lufs - before.integrated_lufs, after: target_lufs - after.integrated_lufs };
}
