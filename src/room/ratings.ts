/** Absorption coefficients are printed in decimals, and the rules of rounding bite on exact halves: all sums are whole thousandths. */
const thousandths = (alpha: number): number => Math.round(alpha * 1000);
const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);

/**
 * Noise reduction coefficient: mean of the one-third-octave coefficients at 250, 500, 1000 and 2000 Hz to the nearest
 * 0.05, halves up; no cap at 1 (ASTM C423). Coefficients are read to three decimals.
 */
export function noiseReductionCoefficient(alphas: readonly [number, number, number, number]): number {
  const total = sum(alphas.map(thousandths));
  return Math.floor((total + 100) / 200) / 20;
}

/** Sound absorption average: mean of the twelve one-third octaves 200 to 2500 Hz to the nearest 0.01, halves up (ASTM C423). */
export function soundAbsorptionAverage(alphas: readonly number[]): number {
  if (alphas.length !== 12) throw new RangeError('twelve one-third octaves, 200 to 2500 Hz');
  return Math.floor((sum(alphas.map(thousandths)) + 60) / 120) / 100;
}

/** Practical coefficient of an octave from its three one-third octaves: their mean to the nearest 0.05, at most 1 (ISO 11654:1997, 4.1). */
export function practicalCoefficient(thirds: readonly [number, number, number]): number {
  const total = sum(thirds.map(thousandths));
  return Math.min(20, Math.floor((total + 75) / 150)) / 20;
}

export interface WeightedRating {
  /** In steps of 0.05. */
  alpha_w: number;
  /** L, M, H in this order where the absorber exceeds the curve by 0.25 or more at low, middle or high frequencies; '' for none. */
  shape: string;
  /** null: not classified. */
  absorption_class: 'A' | 'B' | 'C' | 'D' | 'E' | null;
}

/** Reference curve of ISO 11654 at 250 Hz to 4 kHz, in twentieths. */
const REFERENCE = [16, 20, 20, 20, 18] as const;
const SHAPE = ['L', 'M', 'M', 'H', 'H'] as const;

/**
 * Weighted absorption coefficient from the practical ones at 250, 500, 1000, 2000 and 4000 Hz: the reference curve is lowered in
 * steps of 0.05 until the shortfalls add up to 0.10 at most, and read at 500 Hz; with shape and class (ISO 11654:1997, 4.2, 4.3 and
 * annex B). Works in twentieths; other coefficients are first brought to the nearest 0.05.
 */
export function weightedRating(practical: readonly [number, number, number, number, number]): WeightedRating {
  const twentieths = practical.map((alpha) => Math.min(20, Math.floor((thousandths(alpha) + 25) / 50)));
  const shortfall = (lowered: number) =>
    sum(twentieths.map((value, band) => Math.max(0, REFERENCE[band]! - lowered - value)));
  let lowered = 0;
  while (shortfall(lowered) > 2) lowered++;
  const letters = twentieths.map((value, band) => (value - (REFERENCE[band]! - lowered) >= 5 ? SHAPE[band]! : ''));
  const weighted = 20 - lowered;
  return { alpha_w: weighted / 20, shape: [...new Set(letters)].join(''), absorption_class: absorptionClass(weighted) };
}

function absorptionClass(weighted: number): WeightedRating['absorption_class'] {
  if (weighted >= 18) return 'A';
  if (weighted >= 16) return 'B';
  if (weighted >= 12) return 'C';
  if (weighted >= 6) return 'D';
  return weighted >= 3 ? 'E' : null;
}
