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

interface PassBand {
  rate_hz: number;
  lower_hz: number;
  upper_hz: number;
}

/** Twice the gain at each bin up to half the rate: what makes a spectrum that of the analytic signal. Kept, for most calls ask for the same. */
const gains = new Map<string, Float64Array>();
const GAINS_KEPT = 8;

function analyticGains(size: number, { rate_hz, lower_hz, upper_hz }: PassBand): Float64Array {
  const key = `${size} ${rate_hz} ${lower_hz} ${upper_hz}`;
  const known = gains.get(key);
  if (known) return known;
  const made = new Float64Array(size / 2 + 1);
  for (let k = 0; k < made.length; k++) made[k] = 2 * gainAt((k * rate_hz) / size, lower_hz, upper_hz);
  if (gains.size >= GAINS_KEPT) gains.clear();
  gains.set(key, made);
  return made;
}

/**
 * Energy envelope of a pass-band: squared magnitude of the analytic signal (Gabor 1946), through a filter without shift in
 * time. One value a sample; the mean of the values is twice the mean square of the filtered samples, as for any envelope, and is halved
 * here, so that sums compare with sums of squares.
 */
export function energyEnvelope(samples: Float64Array, options: PassBand): Float64Array {
  const size = powerOfTwoFrom(2 * samples.length);
  const spectrum = spectrumOf(samples, size);
  const gain = analyticGains(size, options);
  for (let k = 0; k < gain.length; k++) {
    spectrum[2 * k] = spectrum[2 * k]! * gain[k]!;
    spectrum[2 * k + 1] = spectrum[2 * k + 1]! * gain[k]!;
  }
  spectrum.fill(0, 2 * gain.length);
  const analytic = complexSamplesOf(spectrum);
  const envelope = new Float64Array(samples.length);
  for (let i = 0; i < envelope.length; i++) envelope[i] = (analytic[2 * i]! ** 2 + analytic[2 * i + 1]! ** 2) / 2;
  return envelope;
}
