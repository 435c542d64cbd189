import type { Lengths } from '../report/lengths.ts';

/** Feet between two labels of a plan: one a foot would leave no air. */
const FEET_A_LABEL = 2;

/** Where a plan drawn in metres carries labels along an edge, and what they say: every metre, or every second foot. */
export function planAxis(edge_m: number, { unit, of_m }: Lengths) {
  const step = unit === 'ft' ? FEET_A_LABEL : 1;
  const metre = of_m(1);
  const values = Array.from({ length: Math.floor(of_m(edge_m) / step) + 1 }, (_, index) => (index * step) / metre);
  const marks = { values, tickCount: values.length };
  return unit === 'ft' ? { ...marks, labelExpr: `format(datum.value * ${metre}, 'd')` } : { ...marks, format: 'd' };
}
