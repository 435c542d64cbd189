/** Level in dB of a ratio of powers or energies: 10 lg(ratio). Minus infinity for 0, NaN for a negative ratio. */
export function powerToDb(power_ratio: number): number {
  return 10 * Math.log10(power_ratio);
}

/** Ratio of powers or energies that a level in dB stands for. */
export function dbToPower(level_db: number): number {
  return 10 ** (level_db / 10);
}

/** Level in dB of a ratio of amplitudes: 20 lg |ratio|. Minus infinity for 0. */
export function amplitudeToDb(amplitude_ratio: number): number {
  return 20 * Math.log10(Math.abs(amplitude_ratio));
}

/** Ratio of amplitudes that a level in dB stands for. */
export function dbToAmplitude(level_db: number): number {
  return 10 ** (level_db / 20);
}
