import { halveRate } from './halve-rate.ts';
import { inverseSweep, type SweepDescription } from './sweep.ts';
import { deconvolver } from './sweep-deconvolve.ts';

/** Where a sweep was found, seconds from the first sample; negative where the recording was started after the sweep. */
export interface SweepArrival {
  start_s: number;
  /** How far the response stands over the middle level around it, dB. */
  prominence_db: number;
}

/** The search runs at the lowest rate from here up: enough bandwidth to place the sweep within a millisecond. */
const SEARCH_RATE_HZ = 11_000;
/** Length of the steps in which the level of the deconvolved recording is watched. */
const STEP_S = 0.001;
/** What speech, claps and hum leave once deconvolved is noise-like; its largest step stays under this. Found by trial. */
const PROMINENCE_DB = 20;
/** Under the strongest sweep of the recording by this much, a peak is a side lobe. */
const WEAKEST_DB = -40;

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
function deconvolvedEnergy(samples: Float64Array, inverse: Float64Array, step: number): Float64Array {
  const blockSteps = Math.ceil((2 * inverse.length) / step);
  const block = blockSteps * step;
  const lead = Math.ceil(inverse.length / step) * step;
  const energy = new Float64Array(Math.ceil((samples.length + lead) / step));
  const deconvolve = deconvolver(inverse);
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

function medianOf(values: Float64Array): number {
  return values.slice().sort()[Math.floor(values.length / 2)] ?? 0;
}

/**
 * Every place where the sweep was recorded, in order of time. The recording is deconvolved at a reduced rate, and a sweep is a step
 * of 1 ms that stands 20 dB over the median of one sweep's length to either side; the weaker of two that are closer than
 * nine tenths of a sweep is a harmonic's response or an echo. Clock errors of some hundred ppm smear the step by less than its length.
 * Common practice, no source: matched filtering, thresholds by trial.
 */
export function sweepArrivals(
  samples: Float64Array,
  options: { rate_hz: number; description: SweepDescription },
): SweepArrival[] {
  const { description } = options;
  const search = reduced(samples, description, options.rate_hz);
  const inverse = inverseSweep(description, {
    rate_hz: search.rate_hz,
    top_hz: Math.min(description.f2_hz, 0.4 * search.rate_hz),
  });
  const step = Math.max(1, Math.round(STEP_S * search.rate_hz));
  const energy = deconvolvedEnergy(search.samples, inverse, step);
  const lead_steps = Math.ceil(inverse.length / step);
  const reach = Math.round((0.9 * description.duration_s * search.rate_hz) / step);
  const found: { at: number; prominence_db: number }[] = [];
  const candidates = strongestPerReach(energy, reach);
  const strongest = Math.max(0, ...candidates.map((at) => energy[at]!));
  for (const at of candidates) {
    const around = medianOf(energy.subarray(Math.max(0, at - reach), at + reach));
    const prominence_db = 10 * Math.log10(energy[at]! / around);
    const strong = energy[at]! > strongest * 10 ** (WEAKEST_DB / 10);
    if (strong && prominence_db >= PROMINENCE_DB) found.push({ at, prominence_db });
  }
  return found
    .map(({ at, prominence_db }) => ({ start_s: ((at - lead_steps + 0.5) * step) / search.rate_hz, prominence_db }))
    .sort((a, b) => a.start_s - b.start_s);
}

/** Indices that are the largest within `reach` to either side, strongest first. */
function strongestPerReach(energy: Float64Array, reach: number): number[] {
  const kept: number[] = [];
  const free = new Uint8Array(energy.length).fill(1);
  for (;;) {
    let best = -1;
    for (let i = 0; i < energy.length; i += 1)
      if (free[i] && energy[i]! > 0 && (best < 0 || energy[i]! > energy[best]!)) best = i;
    if (best < 0) return kept;
    kept.push(best);
    free.fill(0, Math.max(0, best - reach), best + reach + 1);
  }
}
