import type { TargetBand } from '../room/targets.ts';

/** Where a value stands against a range. `unclear`: its interval reaches over an edge. */
export type Standing = 'within' | 'above' | 'below' | 'unclear' | 'unmeasured';

/** Where a decay time in seconds stands against the target range of its band, judged by its whole 95 % interval. */
export function targetStanding(
  estimate: { value: number | null; expanded_uncertainty: number | null },
  band: Pick<TargetBand, 'low_s' | 'high_s'>,
): Standing {
  const { value, expanded_uncertainty } = estimate;
  if (value === null || expanded_uncertainty === null) return 'unmeasured';
  const low = value - expanded_uncertainty;
  const high = value + expanded_uncertainty;
  if (low > band.high_s) return 'above';
  if (high < band.low_s) return 'below';
  return low >= band.low_s && high <= band.high_s ? 'within' : 'unclear';
}
