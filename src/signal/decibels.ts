/** Level in dB of a ratio of powers or energies: 10 lg(ratio). Minus infinity for 0, NaN for a negative ratio. */
export function powerToDb(power_ratio: number): number {
  return 10 * Math.log10(power_ratio);
}

/** Steps of a curve whose change, 0.26 dB, is told by a short series: the first term left out is less than 1e-13 of the change. */
const SMOOTH = 0.03;
/** After so many of them the level is found anew, so that no rounding gathers. */
const SMOOTH_STEPS = 64;
const DB_IN_NEPER = 10 / Math.LN10;

/**
 * The levels of a curve of powers relative to a reference, in place: `powerToDb` of each, in a third of the time where the curve is smooth.
 * A value's level is then that of the one before plus 10 lg of their ratio, by ln(b/a) = 2 artanh((b - a)/(b + a)).
 */
export function curveToDb(inPlace: Float64Array, reference: number): void {
  let before = 0;
  let level = 0;
  let steps = SMOOTH_STEPS;
  for (let i = 0; i < inPlace.length; i++) {
    const power = inPlace[i]!;
    const z = (power - before) / (power + before);
    if (steps < SMOOTH_STEPS && z > -SMOOTH && z < SMOOTH) {
      const squared = z * z;
      level += 2 * DB_IN_NEPER * z * (1 + squared * (1 / 3 + squared * (1 / 5 + squared * (1 / 7))));
      steps++;
    } else {
      level = powerToDb(power / reference);
      steps = 0;
    }
    before = power;
    inPlace[i] = level;
  }
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
