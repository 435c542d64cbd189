import type { BandQuantity } from '../room/reading.ts';
import { formatEstimate } from './format.ts';

/** How a quantity is written: its unit, what a base-unit value is multiplied by, and the decimals beyond which nobody reads on. */
export const WRITTEN: Record<BandQuantity, { unit: string; scale: number; places: number }> = {
  edt_s: { unit: 's', scale: 1, places: 3 },
  t20_s: { unit: 's', scale: 1, places: 3 },
  t30_s: { unit: 's', scale: 1, places: 3 },
  tfull_s: { unit: 's', scale: 1, places: 3 },
  c50_db: { unit: 'dB', scale: 1, places: 1 },
  c80_db: { unit: 'dB', scale: 1, places: 1 },
  d50: { unit: '', scale: 1, places: 3 },
  ts_s: { unit: 'ms', scale: 1000, places: 1 },
  late_level_db: { unit: 'dB', scale: 1, places: 1 },
};

/**
 * A value in base units and its expanded uncertainty as text in the unit the quantity is written in: the one rule of rounding for
 * tables, cover and charts. `expanded` is null where the uncertainty is not known.
 */
export function writtenEstimate(
  estimate: { quantity: BandQuantity; value: number; expanded: number | null },
  locale: string,
): { value: string; expanded: string | null } {
  const { scale, places: most_places } = WRITTEN[estimate.quantity];
  const expanded = estimate.expanded === null ? null : estimate.expanded * scale;
  return formatEstimate({ value: estimate.value * scale, expanded, most_places }, locale);
}
