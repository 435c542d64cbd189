import { withUnit } from '../report/format.ts';
import { WRITTEN, writtenEstimate } from '../report/written.ts';
import type { BandQuantity } from '../room/reading.ts';
import type { ChartWords } from './words.ts';

/** A value in base units with its 95 % interval as tables write it, with its unit: `0.537 ± 0.009 s`; without the interval where it is not known. */
export function valueText(
  row: { value: number; low: number | null; high: number | null },
  quantity: BandQuantity,
  words: ChartWords,
): string {
  const expanded = row.low === null || row.high === null ? null : (row.high - row.low) / 2;
  const text = writtenEstimate({ quantity, value: row.value, expanded }, words.locale);
  const figures = text.expanded === null ? text.value : words.note.plus_minus(text.value, text.expanded);
  return withUnit(figures, WRITTEN[quantity].unit);
}
