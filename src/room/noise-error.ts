import { LN_MILLION } from './decay-model.ts';

/** Spans of the integrated decay that times are read over, in dB. */
const SPANS_DB = { edt_s: [0, 10], t20_s: [5, 25], t30_s: [5, 35] } as const;
const STEPS = 400;
const NEPER_IN_DB = Math.LN10 / 10;
/** 97.5th percentile of the normal distribution. */
const TWO_SIDED_95 = 1.96;

/**
 * How far noise moves the least-squares slope over a span of the backward-integrated decay, for unit q: the square root of the
 * integral of e^u W(u)^2 over the span, by the span's cubed length over 12, with u the fall in nepers of energy, W the integral of
 * the distance from the span's middle from u to its end.
 */
function slopeFactor([from_db, to_db]: readonly [number, number]): number {
  const [from, to] = [from_db * NEPER_IN_DB, to_db * NEPER_IN_DB];
  const half = (to - from) / 2;
  const step = (to - from) / STEPS;
  let sum = 0;
  for (let i = 0; i < STEPS; i++) {
    const u = from + (i + 0.5) * step;
    const weight = (half ** 2 - (u - from - half) ** 2) / 2;
    sum += Math.exp(u) * weight ** 2 * step;
  }
  return Math.sqrt(sum) / ((to - from) ** 3 / 12);
}

const FACTORS = {
  edt_s: slopeFactor(SPANS_DB.edt_s),
  t20_s: slopeFactor(SPANS_DB.t20_s),
  t30_s: slopeFactor(SPANS_DB.t30_s),
};

/**
 * By how much steady noise moves a decay time away from what the same response without it would read, as the relative half-width
 * that holds 95 of 100: 1.96 c 10^(-range/20) / sqrt(B T), c 7.1 for EDT, 18 for T20, 32 for T30.
 *
 * Derivation (own): the noise's mean is taken off, but its product with the decay is left. Over a decay of power A exp(-kt) in noise
 * of power N, bandwidth B, the integral of twice that product from t on has the variance 2 A N exp(-kt) / (B k) (Bendat and
 * Piersol, Random Data, mean-square estimates); over the energy left, (A/k) exp(-kt), its covariance between two depths u < u' (nepers)
 * is q e^u, q = 2 N k / (A B). The slope of the least-squares line has the variance that `slopeFactor` sums. No estimator that is told
 * the envelope alone does better to first order: the product's sign is unknown.
 */
export function noiseError(quantity: keyof typeof FACTORS, { range_db, bt }: { range_db: number; bt: number }): number {
  const q = (2 * LN_MILLION * 10 ** (-range_db / 10)) / bt;
  return TWO_SIDED_95 * FACTORS[quantity] * Math.sqrt(q);
}
