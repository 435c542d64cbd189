import { complexSamplesOf, multiplied, powerOfTwoFrom, spectrumOf } from './fft.ts';

export interface DeconvolveOptions {
  /** The sweep's inverse filter, at the rate of the samples. */
  inverse: Float64Array;
  /** First lag wanted, in samples; lag 0 is a sweep that starts with the samples. May be negative and need not be whole. */
  from_samples: number;
  length_samples: number;
}

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
 * The impulse response that turned the sweep into `samples`: the convolution with the inverse filter, lags `from_samples` to
 * `from_samples + length_samples` (Farina 2000). It is aperiodic: what a harmonic puts before time zero stays there and nothing
 * wraps around into the lags asked for. A lag that is no whole number is reached by a shift of the spectrum's phase.
 *
 * @throws RangeError where the transform would need more than 2^24 points.
 */
export function deconvolve(samples: Float64Array, options: DeconvolveOptions): Float64Array {
  const { inverse, length_samples } = options;
  const from = Math.floor(options.from_samples);
  const first = inverse.length - 1 + from;
  const size = powerOfTwoFrom(Math.max(samples.length - from, first + length_samples + 1));
  if (size > LARGEST_TRANSFORM) throw new RangeError(`${samples.length} samples are too many to deconvolve at once`);
  const product = multiplied(spectrumOf(samples, size), spectrumOf(inverse, size));
  const shift = options.from_samples - from;
  if (shift > 0) advanceSpectrum(product, shift);
  const out = complexSamplesOf(product);
  return Float64Array.from({ length: length_samples }, (_, n) => out[2 * ((first + n + size) % size)]!);
}
