import cdf from '@stdlib/stats-base-dists-f-cdf';

/**
 * Probability of a value of Fisher's F at or above `f` with `over` and `under` degrees of freedom, both positive: of the mean
 * squares above and below the stroke. Under about 1e-15 it is 0, being taken from one.
 */
export function upperProbability(f: number, { over, under }: { over: number; under: number }): number {
  if (!(over > 0 && under > 0)) throw new RangeError(`F needs degrees of freedom over 0, not ${over} and ${under}`);
  return Math.max(0, 1 - cdf(f, over, under));
}
