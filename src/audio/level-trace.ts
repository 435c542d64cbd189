/**
 * The energy of a signal in frames of about a millisecond, summed up so that the mean level of any stretch is two
 * look-ups away.
 */
export interface LevelTrace {
  frame_samples: number;
  frame_s: number;
  frames: number;
  /** Energy up to and without frame i; one entry more than there are frames. */
  cumulative: Float64Array;
}

/** Level given to digital silence: well under the last bit of 24. */
export const SILENCE_DB = -180;

/**
 * Sums a signal into frames of one millisecond, rounded to whole samples. A last frame that is not full is left out.
 */
export function levelTrace(samples: Float64Array, rate_hz: number): LevelTrace {
  const frame_samples = Math.max(1, Math.round(rate_hz / 1000));
  const frames = Math.floor(samples.length / frame_samples);
  const cumulative = new Float64Array(frames + 1);
  let sum = 0;
  for (let frame = 0, i = 0; frame < frames; frame++) {
    for (const end = i + frame_samples; i < end; i++) sum += samples[i]! * samples[i]!;
    cumulative[frame + 1] = sum;
  }
  return { frame_samples, frame_s: frame_samples / rate_hz, frames, cumulative };
}

/**
 * Mean level over frames `from` (included) to `to` (left out), relative to full scale squared, in dB.
 *
 * @returns SILENCE_DB where the stretch is empty or silent
 */
export function meanLevel_db(trace: LevelTrace, from: number, to: number): number {
  const power = meanPower(trace, from, to);
  return power > SILENCE ? 10 * Math.log10(power) : SILENCE_DB;
}

const SILENCE = 10 ** (SILENCE_DB / 10);

/** The same as a power, for a comparison that needs no logarithm. */
export function meanPower(trace: LevelTrace, from: number, to: number): number {
  const start = Math.max(0, from);
  const end = Math.min(trace.frames, to);
  if (end <= start) return SILENCE;
  const power = (trace.cumulative[end]! - trace.cumulative[start]!) / ((end - start) * trace.frame_samples);
  // What is no number is silence too.
  if (!(power > SILENCE)) return SILENCE;
  return power;
}

/**
 * The level that the quiet parts of a signal keep to: the given share of all stretches of the given length lies below.
 * Stretches of digital silence do not count, unless there is nothing else.
 */
export function quietLevel_db(trace: LevelTrace, { stretch_frames = 50, share = 0.1 } = {}): number {
  const levels: number[] = [];
  for (let at = 0; at + stretch_frames <= trace.frames; at += Math.ceil(stretch_frames / 2)) {
    const level = meanLevel_db(trace, at, at + stretch_frames);
    if (level > SILENCE_DB) levels.push(level);
  }
  if (levels.length === 0) return meanLevel_db(trace, 0, trace.frames);
  levels.sort((a, b) => a - b);
  return levels[Math.floor(share * (levels.length - 1))]!;
}
