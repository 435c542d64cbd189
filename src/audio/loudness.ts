import { loudnessFilter, weighted } from './loudness-filter.ts';

/** Where a channel stands, which decides its weight. `surround` is at the side or behind; `lfe` does not count. */
export type LoudnessPlace = 'front' | 'surround' | 'lfe';

export interface LoudnessOptions {
  rate_hz: number;
  /** One entry a channel. Default: all in front, as in mono and stereo. */
  places?: LoudnessPlace[];
}

/** Loudness in LUFS (the K-weighted level relative to full scale of ITU-R BS.1770, there written LKFS). */
export interface Loudness {
  /** Gated over the whole; null where no block of 400 ms reaches -70 LUFS. */
  integrated_lufs: number | null;
  /** Highest 400 ms and highest 3 s, ungated; null where the sound is shorter than the window, or silent. */
  momentary_max_lufs: number | null;
  short_term_max_lufs: number | null;
  /** One value every 100 ms; -Infinity in digital silence. */
  momentary_lufs: Float64Array;
  short_term_lufs: Float64Array;
}

/** Channel weights G of ITU-R BS.1770-4, Annex 1, Table 3. */
const WEIGHT: Record<LoudnessPlace, number> = { front: 1, surround: 1.41, lfe: 0 };
const OFFSET_DB = -0.691;
const STEP_S = 0.1;
const MOMENTARY_STEPS = 4;
const SHORT_TERM_STEPS = 30;
const ABSOLUTE_GATE_LUFS = -70;
const RELATIVE_GATE_LU = -10;

/**
 * Integrated, momentary and short-term loudness of a sound whose full scale is 1: K weighting, blocks of 400 ms every 100 ms, gates at
 * -70 LUFS and 10 LU under what is left (ITU-R BS.1770-4, Annex 1); windows of 400 ms and 3 s (EBU Tech 3341). Throws a RangeError
 * where `places` and `channels` differ in number.
 */
export function loudness(channels: Float64Array[], options: LoudnessOptions): Loudness {
  const places = options.places ?? channels.map(() => 'front');
  if (places.length !== channels.length) throw new RangeError(`${channels.length} channels, ${places.length} places`);
  const steps = stepPower(channels, { ...options, places });
  const blocks = slidingMean(steps, MOMENTARY_STEPS);
  const momentary_lufs = blocks.map(toLufs);
  const short_term_lufs = slidingMean(steps, SHORT_TERM_STEPS).map(toLufs);
  return {
    integrated_lufs: gatedLoudness(blocks),
    momentary_max_lufs: highest(momentary_lufs),
    short_term_max_lufs: highest(short_term_lufs),
    momentary_lufs,
    short_term_lufs,
  };
}

function toLufs(power: number): number {
  return OFFSET_DB + 10 * Math.log10(power);
}

/** Weighted sum over channels of the mean square in each whole 100 ms. */
function stepPower(channels: Float64Array[], { rate_hz, places }: Required<LoudnessOptions>): Float64Array {
  const sections = loudnessFilter(rate_hz);
  const edge = (step: number) => Math.round(step * STEP_S * rate_hz);
  let count = Math.floor((channels[0]?.length ?? 0) / (STEP_S * rate_hz));
  if (edge(count) > (channels[0]?.length ?? 0)) count -= 1;
  const power = new Float64Array(Math.max(0, count));
  channels.forEach((samples, channel) => {
    const weight = WEIGHT[places[channel]!];
    if (weight === 0) return;
    const filtered = weighted(samples, sections);
    for (let step = 0; step < power.length; step += 1) {
      let sum = 0;
      for (let n = edge(step); n < edge(step + 1); n += 1) sum += filtered[n]! ** 2;
      power[step]! += (weight * sum) / (edge(step + 1) - edge(step));
    }
  });
  return power;
}

function slidingMean(steps: Float64Array, width: number): Float64Array {
  return Float64Array.from({ length: Math.max(0, steps.length - width + 1) }, (_, first) => {
    let sum = 0;
    for (let k = 0; k < width; k += 1) sum += steps[first + k]!;
    return sum / width;
  });
}

function gatedLoudness(blocks: Float64Array): number | null {
  const loud = blocks.filter((power) => toLufs(power) > ABSOLUTE_GATE_LUFS);
  if (loud.length === 0) return null;
  const gate_lufs = toLufs(mean(loud)) + RELATIVE_GATE_LU;
  return toLufs(mean(loud.filter((power) => toLufs(power) > gate_lufs)));
}

function mean(values: Float64Array): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

function highest(values: Float64Array): number | null {
  const top = values.reduce((most, value) => Math.max(most, value), Number.NEGATIVE_INFINITY);
  return top === Number.NEGATIVE_INFINITY ? null : top;
}
