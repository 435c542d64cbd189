import { halveRate } from './halve-rate.ts';
import { inverseSweep, type SweepDescription, sweepTimeConstant_s } from './sweep.ts';
import { type Deconvolve, deconvolver } from './sweep-deconvolve.ts';
import { octavesThatRise, RISE_AFTER_S, RISE_BEFORE_S } from './sweep-rise.ts';

/** The search runs at the lowest rate from here up: enough bandwidth to place the sweep within a millisecond. */
const SEARCH_RATE_HZ = 11_000;
/** Length of the steps in which the level of the deconvolved recording is watched. */
const STEP_S = 0.001;
/** An arrival stands so far over the tenth of a second before it, and over the median of the deconvolved recording about it. */
const PROMINENCE_DB = 10;
const LOOK_BACK_S = 0.1;
/** Kept clear just before the arrival, and, as a share of the sweep's length, for a clock that is off. */
const CLEAR_S = 0.004;
const CLEAR_SHARE = 300e-6;
/** So far under the strongest step of the recording is counted as silence. */
const SILENCE_DB = -60;
/** An arrival must be heard in so many of four octaves at once. */
const LEAST_OCTAVES = 3;
/** Beside an arrival that proved to be none, and how many of those are looked at. */
const BESIDE_S = 0.02;
const MOST_TRIES = 100;

function reduced(
  samples: Float64Array,
  sweep: SweepDescription,
  rate_hz: number,
): { samples: Float64Array; rate_hz: number } {
  let now = { samples, rate_hz, zero: 0 };
  while (now.rate_hz / 2 >= SEARCH_RATE_HZ && 0.2 * now.rate_hz > 4 * sweep.f1_hz) now = halveRate(now);
  return now;
}

/** Energy of the deconvolved recording in steps of a millisecond, lags from minus one sweep to the end, block by block. */
function deconvolvedEnergy(
  samples: Float64Array,
  { inverse, deconvolve, step }: { inverse: Float64Array; deconvolve: Deconvolve; step: number },
): Float64Array {
  const blockSteps = Math.ceil((2 * inverse.length) / step);
  const block = blockSteps * step;
  const lead = Math.ceil(inverse.length / step) * step;
  const energy = new Float64Array(Math.ceil((samples.length + lead) / step));
  for (let from = -lead; from < samples.length; from += block) {
    const window = samples.subarray(
      Math.max(0, from),
      Math.min(samples.length, Math.max(0, from + block + inverse.length)),
    );
    const length_samples = Math.min(block, samples.length - from);
    const out = deconvolve(window, { from_samples: Math.min(0, from), length_samples });
    for (let n = 0; n < out.length; n += 1) energy[Math.floor((from + lead + n) / step)]! += out[n]! ** 2;
  }
  return energy;
}

/**
 * When every sweep of a recording starts, seconds from its first sample, in order of time; negative where the recording was started
 * after the sweep. The recording is deconvolved at a reduced rate. A sweep is where its level rises by 10 dB within milliseconds in three of
 * four octaves at once; of two that are closer than nine tenths of a sweep, the weaker is a harmonic's response or an echo.
 * Clock errors of some hundred ppm are smaller than the steps. Common practice, no source: matched filtering, thresholds by trial.
 */
export function sweepArrivals(
  samples: Float64Array,
  options: { rate_hz: number; description: SweepDescription },
): number[] {
  const { description } = options;
  const { samples: search, rate_hz } = reduced(samples, description, options.rate_hz);
  const top_hz = Math.min(description.f2_hz, 0.4 * rate_hz);
  const inverse = inverseSweep(description, { rate_hz, top_hz });
  const deconvolve = deconvolver(inverse);
  const step = Math.max(1, Math.round(STEP_S * rate_hz));
  const energy = deconvolvedEnergy(search, { inverse, deconvolve, step });
  const lead_steps = Math.ceil(inverse.length / step);
  const steps = (seconds: number) => Math.round((seconds * rate_hz) / step);
  const reach_steps = steps(0.9 * description.duration_s);
  const start_s = (at: number) => ((at - lead_steps + 0.5) * step) / rate_hz;
  const isSweep = (at: number) => {
    if (energy[at]! < 10 ** (PROMINENCE_DB / 10) * medianAround(energy, at, reach_steps)) return false;
    const window = windowAround(search, { start: Math.round(start_s(at) * rate_hz), rate_hz, inverse, deconvolve });
    const heard = heardRange(description, { start_s: start_s(at), seconds: search.length / rate_hz, top_hz });
    const { risen } = octavesThatRise(window, { rate_hz, ...heard });
    return risen >= LEAST_OCTAVES;
  };
  const free = risingSteps(energy, {
    back: steps(LOOK_BACK_S),
    clear: steps(CLEAR_S + CLEAR_SHARE * description.duration_s),
  });
  const found: number[] = [];
  for (let tries = 0; tries < MOST_TRIES; ) {
    const at = strongest(energy, free);
    if (at < 0) break;
    const accepted = isSweep(at);
    if (accepted) found.push(start_s(at));
    else tries += 1;
    const reach = accepted ? reach_steps : steps(BESIDE_S);
    free.fill(0, Math.max(0, at - reach), at + reach + 1);
  }
  return found.sort((a, b) => a - b);
}

/** 1 for every step that stands over what came before it, 0 for the others. */
function risingSteps(energy: Float64Array, { back, clear }: { back: number; clear: number }): Uint8Array {
  const silence = energy.reduce((most, x) => Math.max(most, x), 0) * 10 ** (SILENCE_DB / 10);
  const sums = new Float64Array(energy.length + 1);
  for (let i = 0; i < energy.length; i += 1) sums[i + 1] = sums[i]! + energy[i]!;
  return Uint8Array.from(energy, (here, i) => {
    const to = Math.max(0, i - clear);
    const from = Math.max(0, to - back);
    const before = to > from ? (sums[to]! - sums[from]!) / (to - from) : 0;
    return here > (before + silence) * 10 ** (PROMINENCE_DB / 10) ? 1 : 0;
  });
}

function strongest(energy: Float64Array, free: Uint8Array): number {
  let best = -1;
  for (let i = 0; i < energy.length; i += 1) if (free[i] === 1 && (best < 0 || energy[i]! > energy[best]!)) best = i;
  return best;
}

function medianAround(energy: Float64Array, at: number, reach: number): number {
  const around = energy.slice(Math.max(0, at - reach), at + reach).sort();
  return around[Math.floor(around.length / 2)]!;
}

/** The deconvolved recording about one moment, as `octavesThatRise` wants it. */
function windowAround(
  samples: Float64Array,
  at: { start: number; rate_hz: number; inverse: Float64Array; deconvolve: Deconvolve },
): Float64Array {
  const from = at.start - Math.round(RISE_BEFORE_S * at.rate_hz);
  const length_samples = Math.round((RISE_BEFORE_S + RISE_AFTER_S) * at.rate_hz);
  const begin = Math.max(0, from);
  const part = samples.subarray(begin, Math.max(begin, from + length_samples + at.inverse.length));
  return at.deconvolve(part, { from_samples: from - begin, length_samples });
}

/** The part of the sweep that the recording holds: it may have begun late or ended early. */
function heardRange(
  description: SweepDescription,
  { start_s, seconds, top_hz }: { start_s: number; seconds: number; top_hz: number },
): { bottom_hz: number; top_hz: number } {
  const timeConstant_s = sweepTimeConstant_s(description);
  const at = (time_s: number) => description.f1_hz * Math.exp(time_s / timeConstant_s);
  return { bottom_hz: at(Math.max(0, -start_s)), top_hz: Math.min(top_hz, at(Math.max(0, seconds - start_s))) };
}
