import { powerToDb } from '../signal/decibels.ts';
import { spectrumOf } from '../signal/fft.ts';

/** Octaves in which the direct sound of a clap can be told from what follows it within so short a time. */
export const DIRECT_OCTAVES_HZ = [1000, 2000, 4000, 8000] as const;
const DIRECT_S = 0.005;
const SIZE = 1024;
const OCTAVE = Math.SQRT2;

/**
 * Colour of the direct sound: the energy of the first 5 ms in each of `DIRECT_OCTAVES_HZ` relative to their sum, in dB. null where the
 * sample rate leaves out the last of them, or the response is too short or silent there.
 */
export function directSpectrum_db(samples: Float64Array, rate_hz: number, zero_sample: number): number[] | null {
  const length = Math.round(DIRECT_S * rate_hz);
  const window = samples.subarray(zero_sample, zero_sample + length);
  const highest = DIRECT_OCTAVES_HZ.at(-1)! * OCTAVE;
  if (window.length < length || length > SIZE || highest > rate_hz / 2) return null;
  const spectrum = spectrumOf(window, SIZE);
  const energies = DIRECT_OCTAVES_HZ.map((centre_hz) => {
    let sum = 0;
    const [from, to] = [centre_hz / OCTAVE, centre_hz * OCTAVE].map((hz) => Math.round((hz * SIZE) / rate_hz)) as [
      number,
      number,
    ];
    for (let k = from; k < to; k++) sum += spectrum[2 * k]! ** 2 + spectrum[2 * k + 1]! ** 2;
    return sum;
  });
  const all = energies.reduce((sum, energy) => sum + energy, 0);
  return energies.every((energy) => energy > 0) ? energies.map((energy) => powerToDb(energy / all)) : null;
}
