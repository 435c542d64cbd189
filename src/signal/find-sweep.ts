import { exponentialSweep, inverseSweep, type SweepDescription } from './sweep.ts';
import { sweepArrivals } from './sweep-arrivals.ts';
import { clockOffset_ppm, WIDEST_PPM } from './sweep-clock.ts';
import { type Deconvolve, deconvolver } from './sweep-deconvolve.ts';

export interface FindSweepOptions {
  rate_hz: number;
  description: SweepDescription;
  /** true: repeats are averaged sample by sample into one response, which gains 10 lg n dB over the noise. Default false. */
  average?: boolean;
}

/** An impulse response recovered from a recorded sweep. */
export interface SweepResponse {
  /** Where time zero of the response lies: the moment, in the file, at which the sweep's first sample reached the microphone. */
  onset_s: number;
  /** From LEAD_S before time zero to where the silence after the sweep ends, or the recording. */
  samples: Float64Array;
  zero_sample: number;
  /** How many recorded sweeps it stands for. */
  sweeps: number;
}

/**
 * `another-sweep`: it could only be this one if the clocks differed by 300 ppm or more, which clocks never do. A sweep that differs by a few
 * per cent in length or range is not always told from a clock that is off.
 */
export type BrokenReason = 'starts-before-recording' | 'ends-after-recording' | 'another-sweep';

export interface FoundSweeps {
  responses: SweepResponse[];
  /** Parts per million by which the recorder's clock ran fast against the player's; null where no sweep was whole. */
  clock_ppm: number | null;
  /** Sweeps that the recording holds only in part, whose decay it cuts off, or that are not the one described. */
  broken: { start_s: number; reason: BrokenReason }[];
}

/** Kept before time zero: less than the advance of any harmonic that matters, so distortion is cut off with what comes earlier. */
const LEAD_S = 0.02;
/** The strongest arrival is known within some milliseconds; the direct sound may come earlier than a stronger reflection. */
const SEARCH_BEFORE_S = 0.03;
const SEARCH_AFTER_S = 0.005;
/** What the clock is judged by: the response this far around its strongest moment, several times what 300 ppm smear it. */
const CLOCK_REACH_S = 0.03;
/** The clocks stay the same through a recording: so many sweeps tell. */
const JUDGED_SWEEPS = 3;
/** Least decay recorded after a sweep for its response to be of use. */
const LEAST_TAIL_S = 0.2;

interface Recording {
  samples: Float64Array;
  rate_hz: number;
  deconvolve: Deconvolve;
  /** Length of the sweep, and of its inverse filter, on the recorder's clock. */
  sweep_samples: number;
}

/**
 * Every recording of the sweep in `samples`, as impulse responses: the sweeps are found wherever they stand, deconvolved with the
 * inverse filter made for the recorder's rate, its clock estimated and the inverse made anew to match (Farina 2000; ISO 18233:2006
 * for the method), and everything earlier than 20 ms before time zero, where the harmonic distortion products lie, is cut off.
 * Samples are relative: 1 is a path that returns the sweep at the level of the description. Time zero is the first sample at
 * or above 20 dB below the maximum of the direct sound (ISO 3382-1:2009, 5.3.2).
 *
 * Returns no responses where no sweep is found; a sweep recorded in part is listed under `broken`.
 * @throws RangeError where the recording's rate leaves nothing of the sweep.
 */
export function findSweep(samples: Float64Array, options: FindSweepOptions): FoundSweeps {
  const { rate_hz, description } = options;
  const sweep_samples = exponentialSweep(description, { rate_hz }).length;
  const broken: FoundSweeps['broken'] = [];
  const whole: number[] = [];
  for (const start_s of sweepArrivals(samples, { rate_hz, description })) {
    const end_s = start_s + sweep_samples / rate_hz + LEAST_TAIL_S;
    if (start_s < -0.01) broken.push({ start_s, reason: 'starts-before-recording' });
    else if (end_s * rate_hz > samples.length) broken.push({ start_s, reason: 'ends-after-recording' });
    else whole.push(start_s);
  }
  if (whole.length === 0) return { responses: [], clock_ppm: null, broken };
  const plain = recordingOf(samples, { rate_hz, description, stretch: 1 });
  const clock_ppm = middle(whole.slice(0, JUDGED_SWEEPS).map((start_s) => clockOf(start_s, plain, description)));
  if (Math.abs(clock_ppm) >= WIDEST_PPM) {
    for (const start_s of whole) broken.push({ start_s, reason: 'another-sweep' });
    return { responses: [], clock_ppm: null, broken };
  }
  const matched = recordingOf(samples, { rate_hz, description, stretch: 1 + clock_ppm * 1e-6 });
  const responses = whole.map((start_s) => responseAt(start_s * rate_hz, { ...matched, tail_s: description.tail_s }));
  return { responses: options.average ? [averaged(responses, matched)] : responses, clock_ppm, broken };
}

function recordingOf(
  samples: Float64Array,
  { rate_hz, description, stretch }: { rate_hz: number; description: SweepDescription; stretch: number },
): Recording {
  const inverse = inverseSweep(description, { rate_hz, stretch });
  return { samples, rate_hz, deconvolve: deconvolver(inverse), sweep_samples: inverse.length };
}

/** Lags around `centre_samples` of the whole recording, read from the stretch of it that they depend on. */
function lags(centre_samples: number, cut: Recording & { before: number; after: number }): Float64Array {
  const from = centre_samples - cut.before;
  const start = Math.max(0, Math.floor(from));
  const length_samples = cut.before + cut.after;
  const part = cut.samples.subarray(start, Math.floor(from) + length_samples + cut.sweep_samples + 1);
  return cut.deconvolve(part, { from_samples: from - start, length_samples });
}

function clockOf(start_s: number, plain: Recording, description: SweepDescription): number {
  const { rate_hz } = plain;
  const reach = Math.round(CLOCK_REACH_S * rate_hz);
  const around = lags(Math.round(start_s * rate_hz), { ...plain, before: reach, after: reach });
  return clockOffset_ppm(around, { rate_hz, description });
}

function responseAt(start_samples: number, cut: Recording & { tail_s: number }): SweepResponse {
  const { rate_hz } = cut;
  const lead = Math.round(LEAD_S * rate_hz);
  const start = Math.round(start_samples);
  const tail = Math.min(Math.round(cut.tail_s * rate_hz), cut.samples.length - start - cut.sweep_samples);
  const before = lead + Math.round(SEARCH_BEFORE_S * rate_hz);
  const long = lags(start, { ...cut, before, after: tail });
  const zero = zeroAround(long, { from: lead, to: before + Math.round(SEARCH_AFTER_S * rate_hz) });
  return {
    onset_s: (start - before + zero) / rate_hz,
    samples: long.slice(zero - lead),
    zero_sample: lead,
    sweeps: 1,
  };
}

/** Index of the largest sample between `from` and `to`. */
function peakOf(samples: Float64Array, { from, to }: { from: number; to: number }): number {
  let peak = from;
  for (let i = from; i < to; i += 1) if (Math.abs(samples[i]!) > Math.abs(samples[peak]!)) peak = i;
  return peak;
}

/** First sample at or above 20 dB below the largest of those between `from` and `to` (ISO 3382-1:2009, 5.3.2). */
function zeroAround(samples: Float64Array, range: { from: number; to: number }): number {
  const peak = peakOf(samples, range);
  const threshold = Math.abs(samples[peak]!) / 10;
  for (let i = range.from; i < peak; i += 1) if (Math.abs(samples[i]!) >= threshold) return i;
  return peak;
}

/** Mean of the responses, each read anew at the lag, a fraction of a sample included, that fits it best to the first. */
function averaged(responses: SweepResponse[], cut: Recording): SweepResponse {
  const first = responses[0]!;
  const length = Math.min(...responses.map((response) => response.samples.length));
  const mean = new Float64Array(length);
  for (const response of responses) {
    const start = response.onset_s * cut.rate_hz + shiftBetween(first.samples, response.samples);
    const part =
      response === first
        ? first.samples
        : lags(start, { ...cut, before: first.zero_sample, after: length - first.zero_sample });
    for (let n = 0; n < length; n += 1) mean[n]! += part[n]! / responses.length;
  }
  return { ...first, samples: mean, sweeps: responses.length };
}

/** By how many samples, a fraction included, `other` lags behind `reference`: the top of their cross-correlation. */
function shiftBetween(reference: Float64Array, other: Float64Array): number {
  const reach = 8;
  const window = Math.min(reference.length, other.length, 4096) - 2 * reach;
  const correlation = Array.from({ length: 2 * reach + 1 }, (_, k) => {
    let sum = 0;
    for (let n = 0; n < window; n += 1) sum += reference[n + reach]! * other[n + k]!;
    return sum;
  });
  let top = reach;
  for (let k = 1; k < 2 * reach; k += 1) if (correlation[k]! > correlation[top]!) top = k;
  const [left, here, right] = [correlation[top - 1]!, correlation[top]!, correlation[top + 1]!];
  return top - reach + (left - right) / (2 * (left - 2 * here + right));
}

function middle(values: number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)]!;
}
