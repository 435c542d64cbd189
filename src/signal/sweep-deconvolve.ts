import { complexSamplesOf, multiplied, powerOfTwoFrom, spectrumOf } from './fft.ts';

export interface LagOptions {
  /** First lag wanted, in samples; lag 0 is a sweep that starts with the samples. May be negative and need not be whole. */
  from_samples: number;
  length_samples: number;
}

/** Turns recorded samples into an impulse response. */
export type Deconvolve = (samples: Float64Array, lags: LagOptions) => Float64Array;

/** Memory grows with the transform: 2^24 points take about half a gigabyte. */
const LARGEST_TRANSFORM = 2 ** 24;

/** Moves the signal behind `inPlace` by `shift` samples, between 0 and 1, towards earlier times. */
function advanceSpectrum(inPlace: Float64Array, shift: number): void {
  const size = inPlace.length / 2;
  for (let k = 0; k < size; k += 1) {
    const bin = k <= size / 2 ? k : k - size;
    const angle = k === size / 2 ? 0 : (2 * Math.PI * bin * shift) / size;
    const cos = Math.cos(angle);
    const sin = Math.sin(angle);
    const re = inPlace[2 * k]! * cos - inPlace[2 * k + 1]! * sin;
    inPlace[2 * k + 1] = inPlace[2 * k]! * sin + inPlace[2 * k + 1]! * cos;
    inPlace[2 * k] = re;
  }
}

/**
 * A function that gives the impulse response which turned the sweep into the samples it is handed: their convolution with the sweep's inverse
 * filter, at the lags asked for (Farina 2000). It is aperiodic: what a harmonic puts before time zero stays there and nothing wraps
 * around into the lags asked for. A lag that is no whole number is reached by a shift of the spectrum's phase. The inverse filter's
 * spectrum is kept from call to call, so calls of one size cost two transforms.
 *
 * The function throws a RangeError where the transform would need more than 2^24 points.
 *
 * @param inverse the inverse filter, at the rate of the samples.
 */
export function deconvolver(inverse: Float64Array): Deconvolve {
  let kept: Float64Array = new Float64Array(0);
  return (samples, { from_samples, length_samples }) => {
    const from = Math.floor(from_samples);
    const first = inverse.length - 1 + from;
    const size = powerOfTwoFrom(Math.max(samples.length - from, first + length_samples + 1, inverse.length));
    if (size > LARGEST_TRANSFORM) throw new RangeError(`${samples.length} samples are too many to deconvolve at once`);
    if (kept.length !== 2 * size) kept = spectrumOf(inverse, size);
    const product = multiplied(spectrumOf(samples, size), kept);
    if (from_samples > from) advanceSpectrum(product, from_samples - from);
    const out = complexSamplesOf(product);
    return Float64Array.from({ length: length_samples }, (_, n) => out[2 * ((first + n + size) % size)]!);
  };
}
