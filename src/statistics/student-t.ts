import cdf from '@stdlib/stats-base-dists-t-cdf';
import quantile from '@stdlib/stats-base-dists-t-quantile';

/** Above this many degrees of freedom the normal distribution is meant; the t quantile differs from it by under 1e-6. */
const AS_GOOD_AS_INFINITE = 1e7;

/**
 * Half-width of the two-sided interval of Student's t, in standard uncertainties (JCGM 100:2008, Table G.2).
 * `dof` may be a fraction, as Welch and Satterthwaite give it; null means infinitely many.
 * Throws where dof is not positive or the confidence is not between 0 and 1.
 */
export function coverageFactor(dof: number | null, confidence = 0.95): number {
  if (!(confidence > 0 && confidence < 1)) throw new RangeError(`confidence ${confidence} is not between 0 and 1`);
  return quantile(0.5 + confidence / 2, usableDof(dof));
}

/** Two-sided probability of a value at least so far from zero in Student's t with `dof` degrees of freedom (null: infinitely many). */
export function twoSidedProbability(t: number, dof: number | null): number {
  return Math.min(1, 2 * cdf(-Math.abs(t), usableDof(dof)));
}

function usableDof(dof: number | null): number {
  if (dof === null) return AS_GOOD_AS_INFINITE;
  if (!(dof > 0)) throw new RangeError(`${dof} degrees of freedom: a positive number is needed`);
  return Math.min(dof, AS_GOOD_AS_INFINITE);
}
