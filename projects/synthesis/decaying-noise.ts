import { complexSamplesOf, spectrumOf } from '../../src/signal/fft.ts';
import type { Random } from './random.ts';

/** Nominal octave midbands for which a synthetic room states its decay, in Hz. */
export const SYNTHESIS_BANDS_HZ = [63, 125, 250, 500, 1000, 2000, 4000, 8000] as const;

/** One value a band of SYNTHESIS_BANDS_HZ. */
export type PerBand = readonly [number, number, number, number, number, number, number, number];

/**
 * A diffuse decay: in each octave band Gaussian noise under exp(-6.9078 t / T), the energy falling by 60 dB in T
 * (Polack 1988). Band edges cross over within a twelfth of an octave at equal power, so the bands add up to white noise
 * at time zero where all gains are equal. The lowest band takes everything below it, the highest everything above.
 *
 * @param decay_s T of each band in seconds
 * @param power expected square of a sample at time zero, in each band: the spectral density there is that of white noise
 *   of this power
 * @param length samples, a power of two
 */
export function decayingNoise(
  random: Random,
  { decay_s, power, rate_hz, length }: { decay_s: PerBand; power: PerBand; rate_hz: number; length: number },
): Float64Array {
  const spectrum = spectrumOf(
    Float64Array.from({ length }, () => random.normal()),
    length,
  );
  const tail = new Float64Array(length);
  const half = length / 2;
  const shaped = new Float64Array(2 * length);
  // Two bands go through one inverse transform: one becomes its real part, the other its imaginary part.
  for (let band = 0; band < SYNTHESIS_BANDS_HZ.length; band += 2) {
    shaped.fill(0);
    for (let bin = 1; bin < half; bin++) {
      const frequency_hz = (bin * rate_hz) / length;
      const a = bandGain(band, frequency_hz);
      const b = bandGain(band + 1, frequency_hz);
      if (a === 0 && b === 0) continue;
      const re = spectrum[2 * bin]!;
      const im = spectrum[2 * bin + 1]!;
      shaped[2 * bin] = a * re - b * im;
      shaped[2 * bin + 1] = a * im + b * re;
      const mirror = 2 * (length - bin);
      shaped[mirror] = a * re + b * im;
      shaped[mirror + 1] = -a * im + b * re;
    }
    const out = complexSamplesOf(shaped);
    for (const part of [0, 1]) {
      const fall = Math.exp(-Math.log(1000) / (decay_s[band + part]! * rate_hz));
      let envelope = Math.sqrt(power[band + part]!);
      for (let i = 0; i < length; i++, envelope *= fall) tail[i]! += out[2 * i + part]! * envelope;
    }
  }
  return tail;
}

const CROSSOVER_OCTAVES = 1 / 12;

/** Gain of an octave band; neighbouring gains squared add up to 1. */
function bandGain(band: number, frequency_hz: number): number {
  const octave = Math.log2(frequency_hz / 1000) + 4 - band;
  const lower = band === 0 ? 1 : rise((octave + 0.5) / CROSSOVER_OCTAVES);
  const upper = band === SYNTHESIS_BANDS_HZ.length - 1 ? 1 : rise((0.5 - octave) / CROSSOVER_OCTAVES);
  return lower * upper;
}

/** From 0 at -1/2 to 1 at +1/2 as a quarter of a sine. */
function rise(x: number): number {
  return Math.sin((Math.PI / 2) * Math.max(0, Math.min(1, x + 0.5)));
}
