import { type BandDecay, meanPower, usableEnd_s } from './band-decay.ts';
import type { Truncation } from './truncation.ts';

/** The noise drifts when two halves of it differ by more than this, and by more than chance. */
const DRIFT_DB = 0.5;
const CHANCE = 3;
/** The noise window starts where the decay has fallen so far under the noise. */
const CLEAR_DB = 10;
/** Least noise window, as a share of the time to the crossing. */
const WINDOW_SHARE = 0.2;

/**
 * Seconds after time zero up to which the noise past the decay is steady. Noise that drifts (a passing car, an automatic gain)
 * is known best by what lies next to the decay: its far half is dropped as long as the halves differ by more than half a
 * decibel and three standard deviations, down to a fifth of the decay's own length. Common practice, no source.
 */
export function steadyEnd_s(decay: BandDecay, truncation: Truncation, statistical_hz: number): number {
  let end_s = usableEnd_s(decay);
  if (!truncation.met_noise) return end_s;
  const start_s = truncation.time_s + CLEAR_DB / -truncation.late_slope_db_s;
  const least_s = Math.max(WINDOW_SHARE * truncation.time_s, 8 / statistical_hz);
  while ((end_s - start_s) / 2 > least_s) {
    const middle_s = (start_s + end_s) / 2;
    const difference_db = 10 * Math.log10(meanPower(decay, middle_s, end_s) / meanPower(decay, start_s, middle_s));
    const chance_db = (10 / Math.LN10) * Math.sqrt(2 / (statistical_hz * (middle_s - start_s)));
    if (!(Math.abs(difference_db) > Math.max(DRIFT_DB, CHANCE * chance_db))) return end_s;
    end_s = middle_s;
  }
  return end_s;
}
