import type { ChangeValue, Headline, Verdict } from '../statistics/finding.ts';

/**
 * What words may say of a change. `none`: the interval holds zero. `corrected`: the interval lies clear of zero, but the
 * verdict allows for many looks and finds no change. `open`: nothing can be said.
 */
export type Claim = 'reduced' | 'increased' | 'none' | 'corrected' | 'open';

/** The claim of one band of a comparison. Never more than its verdict, and never more than its interval holds. */
export function changeClaim(change: Pick<ChangeValue, 'verdict' | 'low' | 'high'>): Claim {
  return claimFrom(change.verdict, change.low, change.high);
}

/** The claim of a comparison as a whole. Never more than its verdict, and never more than its interval holds. */
export function headlineClaim(headline: Pick<Headline, 'verdict' | 'percent_low' | 'percent_high'>): Claim {
  return claimFrom(headline.verdict, headline.percent_low, headline.percent_high);
}

function claimFrom(verdict: Verdict, low: number | null, high: number | null): Claim {
  if (low === null || high === null) return 'open';
  switch (verdict) {
    case 'reduced':
      return high < 0 ? 'reduced' : 'none';
    case 'increased':
      return low > 0 ? 'increased' : 'none';
    case 'no-detectable-change':
      return low > 0 || high < 0 ? 'corrected' : 'none';
    case 'not-measurable':
      return 'open';
    default:
      return verdict satisfies never;
  }
}
