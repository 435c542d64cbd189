import type { BandQuantity } from '../room/reading.ts';

/** The quantities that are compared as ratios: decay times. All others are compared as differences. */
const RATIO_QUANTITIES: ReadonlySet<BandQuantity> = new Set(['edt_s', 't20_s', 't30_s', 'tfull_s']);

/** True for decay times, whose changes are ratios; false for clarity, centre time and levels, whose changes are differences. */
export function isRatio(quantity: BandQuantity): boolean {
  return RATIO_QUANTITIES.has(quantity);
}

/** A value on the scale its spread is reckoned on: the natural logarithm for decay times, itself for the rest. */
export function toWorkScale(quantity: BandQuantity, value: number): number {
  return isRatio(quantity) ? Math.log(value) : value;
}
