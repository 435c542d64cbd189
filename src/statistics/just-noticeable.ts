import type { BandQuantity } from '../room/reading.ts';
import type { Noticeable } from './finding.ts';

/**
 * Just noticeable differences: shares of the value for times, else in the quantity's unit.
 * EDT 5 %, C80 1 dB, D50 0.05, Ts 10 ms and G 1 dB: ISO 3382-1:2009, Table A.1 (from memory). T20, T30 and the full-range time
 * take EDT's, the late level G's: common practice, no source. C50 1.1 dB: Bradley, Reich and Norcross, Applied Acoustics 58 (1999) 99-108.
 */
export const JUST_NOTICEABLE: Readonly<Record<BandQuantity, number>> = {
  edt_s: 0.05,
  t20_s: 0.05,
  t30_s: 0.05,
  tfull_s: 0.05,
  c50_db: 1.1,
  c80_db: 1,
  d50: 0.05,
  ts_s: 0.01,
  late_level_db: 1,
};

/**
 * Whether an interval lies wholly beyond the just noticeable difference (yes), wholly within it (no), or neither (unclear).
 * low and high: of the relative change for times (-0.36 for 36 % less), else of the difference.
 */
export function noticeable(quantity: BandQuantity, low: number, high: number): Noticeable {
  const limit = JUST_NOTICEABLE[quantity];
  if (low > limit || high < -limit) return 'yes';
  return low > -limit && high < limit ? 'no' : 'unclear';
}
