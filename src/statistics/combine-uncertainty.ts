import type { Contribution } from './finding.ts';

type Part = Pick<Contribution, 'standard_uncertainty' | 'dof'>;

/** Combined standard uncertainty of independent contributions of one unit: the root of the sum of squares (JCGM 100:2008, 5.1.2). */
export function combinedUncertainty(parts: readonly Part[]): number {
  return Math.hypot(...parts.map((part) => part.standard_uncertainty));
}

/**
 * Effective degrees of freedom of a combined uncertainty by Welch and Satterthwaite (JCGM 100:2008, G.4.1, formula G.2b).
 * null where no contribution has finite degrees of freedom, which stands for infinitely many.
 */
export function effectiveDof(parts: readonly Part[]): number | null {
  const combined = combinedUncertainty(parts);
  let sum = 0;
  for (const { standard_uncertainty, dof } of parts) {
    if (dof !== null) sum += standard_uncertainty ** 4 / dof;
  }
  return sum === 0 ? null : combined ** 4 / sum;
}

/**
 * Degrees of freedom of an uncertainty that was judged and not estimated, from how far it is itself in doubt:
 * half the inverse square of the relative doubt (JCGM 100:2008, G.4.2, formula G.3). Throws where the doubt is not positive.
 */
export function dofOfJudgement(relative_doubt: number): number {
  if (!(relative_doubt > 0)) throw new RangeError(`relative doubt ${relative_doubt} is not positive`);
  return 0.5 / relative_doubt ** 2;
}
