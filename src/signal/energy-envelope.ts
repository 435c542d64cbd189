import { complexSamplesOf, powerOfTwoFrom, spectrumOf } from './fft.ts';

/** Width of the rise and fall of the pass-band, in octaves. */
const EDGE_OCTAVES = 1 / 3;

/** Amplitude gain: 1 between the edges, 0 a third of an octave outside, a quarter sine wave in log-frequency between. */
function gainAt(frequency_hz: number, lower_hz: number, upper_hz: number): number {
  if (frequency_hz <= 0) return 0;
  const outside = Math.max(Math.log2(lower_hz / frequency_hz), Math.log2(frequency_hz / upper_hz));
  if (outside <= 0) return 1;
  return outside >= EDGE_OCTAVES ? 0 : Math.cos((Math.PI / 2) * (outside / EDGE_OCTAVES));
}

/**
 * Energy envelope of a pass-band: squared magnitude of the analytic signal (Gabor 1946), through a filter without shift in
 * time. One value a sample; the mean of the values is twice the mean square of the filtered samples, as for any envelope, and is halved
 * here, so that sums compare with sums of squares.
 */
export function energyEnvelope(
  samples: Float64Array,
  options: { rate_hz: number; lower_hz: number; upper_hz: number },
): Float64Array {
  const size = powerOfTwoFrom(2 * samples.length);
  const spectrum = spectrumOf(samples, size);
  for (let k = 0; k < size; k++) {
    const positive = k <= size / 2;
    const gain = positive ? 2 * gainAt((k * options.rate_hz) / size, options.lower_hz, options.upper_hz) : 0;
    spectrum[2 * k] = spectrum[2 * k]! * gain;
    spectrum[2 * k + 1] = spectrum[2 * k + 1]! * gain;
  }
  const analytic = complexSamplesOf(spectrum);
  return Float64Array.from(
    { length: samples.length },
    (_, i) => (analytic[2 * i]! ** 2 + analytic[2 * i + 1]! ** 2) / 2,
  );
}
