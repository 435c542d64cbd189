import FFT from 'fft.js';

/** Tables of the last few sizes: pure functions of the size, dear to make. */
const TABLES_KEPT = 8;
const tables = new Map<number, FFT>();

function tableOf(size: number): FFT {
  const known = tables.get(size);
  const table = known ?? new FFT(size);
  tables.delete(size);
  tables.set(size, table);
  if (tables.size > TABLES_KEPT) tables.delete(tables.keys().next().value!);
  return table;
}

/** The least power of two that is not below `count`, and not below 2. */
export function powerOfTwoFrom(count: number): number {
  return 2 ** Math.max(1, Math.ceil(Math.log2(count)));
}

function checkSize(size: number): void {
  if (!Number.isInteger(size) || size < 2 || (size & (size - 1)) !== 0) {
    throw new RangeError(`transform size ${size} is no power of two from 2 up`);
  }
}

/**
 * Discrete Fourier transform of real samples, padded with zeros to `size`.
 *
 * Returns `2 * size` values, real and imaginary parts in turn, for the frequencies k rate/size, k = 0 to size - 1: the upper
 * half holds the conjugates.
 *
 * @throws RangeError where `size` is no power of two, or shorter than the samples.
 */
export function spectrumOf(samples: Float64Array, size: number = powerOfTwoFrom(samples.length)): Float64Array {
  checkSize(size);
  if (samples.length > size) throw new RangeError(`${samples.length} samples do not fit a transform of ${size}`);
  const table = tableOf(size);
  const input = new Float64Array(size);
  input.set(samples);
  const out = new Float64Array(2 * size);
  table.realTransform(out, input);
  table.completeSpectrum(out);
  return out;
}

/**
 * Sums power spectra of stretches of `size` samples, two for one transform: of x + iy, the powers at k and size - k add up to
 * twice those of x and y together.
 */
export class PowerSum {
  /** The sum so far, bins 0 to size/2. */
  readonly power: Float64Array;
  readonly #table: FFT;
  readonly #input: Float64Array;
  readonly #out: Float64Array;
  readonly #size: number;

  /** @throws RangeError where `size` is no power of two. */
  constructor(size: number) {
    checkSize(size);
    this.#table = tableOf(size);
    this.#input = new Float64Array(2 * size);
    this.#out = new Float64Array(2 * size);
    this.#size = size;
    this.power = new Float64Array(size / 2 + 1);
  }

  /** Adds the stretches of `samples` that begin at `first` and, where it is not null, at `second`, each times the window. */
  add(samples: Float64Array, window: Float64Array, [first, second]: [number, number | null]): void {
    const input = this.#input;
    const size = this.#size;
    for (let i = 0; i < size; i++) {
      input[2 * i] = samples[first + i]! * window[i]!;
      input[2 * i + 1] = second === null ? 0 : samples[second + i]! * window[i]!;
    }
    const out = this.#out;
    this.#table.transform(out, input);
    addPowers(this.power, out);
  }
}

/** Adds to each bin half the power of a spectrum, real and imaginary parts in turn, there and at the bin that mirrors it. */
function addPowers(power: Float64Array, out: Float64Array): void {
  const last = power.length - 1;
  power[0]! += out[0]! * out[0]! + out[1]! * out[1]!;
  for (let bin = 1, up = 2, down = out.length - 2; bin <= last; bin++, up += 2, down -= 2) {
    const here = out[up]! * out[up]! + out[up + 1]! * out[up + 1]!;
    const mirrored = out[down]! * out[down]! + out[down + 1]! * out[down + 1]!;
    power[bin]! += (here + mirrored) / 2;
  }
}

/**
 * Complex samples of a spectrum as `spectrumOf` lays it out: real and imaginary parts in turn, scaled so that it undoes
 * `spectrumOf`.
 *
 * @throws RangeError where the length is not twice a power of two.
 */
export function complexSamplesOf(spectrum: Float64Array): Float64Array {
  const size = spectrum.length / 2;
  checkSize(size);
  const out = new Float64Array(2 * size);
  tableOf(size).inverseTransform(out, spectrum);
  return out;
}

/** Real samples of a spectrum whose upper half holds the conjugates: the inverse of `spectrumOf`. */
export function samplesOf(spectrum: Float64Array): Float64Array {
  const complex = complexSamplesOf(spectrum);
  return Float64Array.from({ length: complex.length / 2 }, (_, i) => complex[2 * i]!);
}

/** Product of two spectra of one size, value by value. */
export function multiplied(a: Float64Array, b: Float64Array): Float64Array {
  const out = new Float64Array(a.length);
  for (let i = 0; i < a.length; i += 2) {
    out[i] = a[i]! * b[i]! - a[i + 1]! * b[i + 1]!;
    out[i + 1] = a[i]! * b[i + 1]! + a[i + 1]! * b[i]!;
  }
  return out;
}

/** Linear convolution by transforms; the result has `a.length + b.length - 1` values. Empty where either is empty. */
export function convolve(a: Float64Array, b: Float64Array): Float64Array {
  if (a.length === 0 || b.length === 0) return new Float64Array(0);
  const length = a.length + b.length - 1;
  const size = powerOfTwoFrom(length);
  return samplesOf(multiplied(spectrumOf(a, size), spectrumOf(b, size))).slice(0, length);
}
