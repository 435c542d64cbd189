import type { BandReading } from '../room/reading.ts';
import { coverageFactor, twoSidedProbability } from './student-t.ts';

/** What a clap tells of how it was recorded. */
export interface RecordedClap {
  stage: string;
  position: string;
  /** Energy of its direct sound, dB; and its colour by octave, dB relative to their sum, null where it was not read. */
  direct_db: number;
  direct_spectrum_db: readonly number[] | null;
  bands: readonly BandReading[];
}

export interface GainShift {
  from: string;
  to: string;
  /** By how much the noise of the recordings rose, and the claps with it, dB. */
  noise_db: number;
  direct_db: number;
}

export interface ColourShift {
  from: string;
  to: string;
  /** Index of the octave of the direct sound that differs most, and by how much it rose against the others, dB. */
  octave: number;
  shift_db: number;
}

/** Probability, over all stages and octaves looked at, that a shift of the claps is called one by chance. */
const SIGNIFICANCE = 0.005;
/** Less is no matter of the gain knob, nor of another microphone (common practice, no source). */
const LEAST_GAIN_DB = 3;
const LEAST_COLOUR_DB = 4;
/** A gain lifts the noise of all bands alike, within this standard deviation; a fan does not. */
const EVEN_DB = 1.5;
const FEWEST_BANDS = 4;
const SIXTY_DB = Math.log(1e6);
const NEPER_TO_DB = 10 / Math.LN10;
/** Where the late level starts, seconds after the direct sound. */
const LATE_FROM_S = 0.02;

/**
 * Level of the noise under a band's decay on the scale of `direct_db`, dB: the decay carried back to time zero, A k exp(-k t) with
 * k = 13.8 / T and its energy from 20 ms on known, less the range over the noise. null where one of these was not read.
 */
export function bandNoise_db(band: BandReading, direct_db: number): number | null {
  const decay_s = band.tfull_s ?? band.t20_s;
  if (decay_s === null || band.late_level_db === null || band.range_db === null) return null;
  const rate = SIXTY_DB / decay_s;
  const start_db = direct_db + band.late_level_db + NEPER_TO_DB * (Math.log(rate) + rate * LATE_FROM_S);
  return start_db - band.range_db;
}

/**
 * Whether the gain was changed between two stages: the noise of the recordings rose or fell by one amount in all octaves, and the
 * claps with it, by more than claps differ (Welch's t test of their levels). null where nothing says so. Only shared positions count.
 */
export function gainShift(
  claps: readonly RecordedClap[],
  { from, to, looks }: { from: string; to: string; looks: number },
): GainShift | null {
  const [before, after] = sharedClaps(claps, from, to);
  const noises = noiseShifts_db(before, after);
  if (noises.length < FEWEST_BANDS) return null;
  const noise = moments(noises);
  if (Math.abs(noise.mean) < LEAST_GAIN_DB || Math.sqrt(noise.variance) > EVEN_DB) return null;
  const direct = welch(
    before.map((clap) => clap.direct_db),
    after.map((clap) => clap.direct_db),
  );
  if (direct === null || direct.p_value * looks > SIGNIFICANCE) return null;
  if (Math.abs(direct.shift - noise.mean) > direct.half_width) return null;
  return { from, to, noise_db: noise.mean, direct_db: direct.shift };
}

/**
 * Whether the colour of the claps' direct sound differs between two stages in some octave beyond what claps differ (Welch's t test,
 * divided over the octaves and pairs looked at): another microphone, another source, or the microphone turned. null where it does not.
 */
export function colourShift(
  claps: readonly RecordedClap[],
  { from, to, looks }: { from: string; to: string; looks: number },
): ColourShift | null {
  const [before, after] = sharedClaps(claps, from, to).map((stage) =>
    stage.flatMap(({ direct_spectrum_db }) => (direct_spectrum_db === null ? [] : [direct_spectrum_db])),
  ) as [(readonly number[])[], (readonly number[])[]];
  const octaves = before[0]?.length ?? 0;
  const shifts = Array.from({ length: octaves }, (_, octave) => {
    const test = welch(
      before.map((spectrum) => spectrum[octave]!),
      after.map((spectrum) => spectrum[octave]!),
    );
    return test === null ? [] : [{ octave, ...test }];
  });
  const told = shifts
    .flat()
    .filter(({ shift, p_value }) => Math.abs(shift) >= LEAST_COLOUR_DB && p_value * looks * octaves < SIGNIFICANCE)
    .sort((a, b) => Math.abs(b.shift) - Math.abs(a.shift))[0];
  return told === undefined ? null : { from, to, octave: told.octave, shift_db: told.shift };
}

function sharedClaps(claps: readonly RecordedClap[], from: string, to: string): [RecordedClap[], RecordedClap[]] {
  const of = (stage: string) => claps.filter((clap) => clap.stage === stage);
  const at = (stage: string) => new Set(of(stage).map(({ position }) => position));
  const shared = (position: string) => at(from).has(position) && at(to).has(position);
  return [of(from).filter(({ position }) => shared(position)), of(to).filter(({ position }) => shared(position))];
}

/** Rise of the noise in each octave, dB: mean over the claps after, less before. */
function noiseShifts_db(before: readonly RecordedClap[], after: readonly RecordedClap[]): number[] {
  const centres = new Set(before.flatMap(({ bands }) => bands.map(({ centre_hz }) => centre_hz)));
  return [...centres].flatMap((centre_hz) => {
    const levels = [before, after].map((claps) =>
      claps.flatMap(({ bands, direct_db }) => {
        const band = bands.find((one) => one.width === 'octave' && one.centre_hz === centre_hz);
        const noise_db = band ? bandNoise_db(band, direct_db) : null;
        return noise_db === null ? [] : [noise_db];
      }),
    ) as [number[], number[]];
    if (levels.some((values) => values.length === 0)) return [];
    return [moments(levels[1]).mean - moments(levels[0]).mean];
  });
}

function moments(values: readonly number[]): { mean: number; variance: number } {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  const squares = values.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  return { mean, variance: values.length > 1 ? squares / (values.length - 1) : 0 };
}

/** Welch's t test (Biometrika 34, 1947) of two means; null with fewer than two values on a side or no scatter. */
function welch(
  before: readonly number[],
  after: readonly number[],
): { shift: number; p_value: number; half_width: number } | null {
  if (before.length < 2 || after.length < 2) return null;
  const [one, other] = [moments(before), moments(after)];
  const parts = [one.variance / before.length, other.variance / after.length] as const;
  const variance = parts[0] + parts[1];
  if (variance === 0) return null;
  const dof = variance ** 2 / (parts[0] ** 2 / (before.length - 1) + parts[1] ** 2 / (after.length - 1));
  const shift = other.mean - one.mean;
  const error = Math.sqrt(variance);
  return { shift, p_value: twoSidedProbability(shift / error, dof), half_width: coverageFactor(dof) * error };
}
