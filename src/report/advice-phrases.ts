import type { PredictedDecay } from '../room/prediction.ts';
import type { Context } from './context.ts';
import type { Cell, Inline } from './document.ts';
import { formatEstimate, formatMoney, formatNumber, withUnit } from './format.ts';
import { numberCell } from './phrases.ts';

/** Decay times of a prediction are not worth more decimals than these. */
const TIME_PLACES = 2;

/** Square metres as they are worth being read: one decimal, two below one square metre. */
export function areaText(area_m2: number, locale: string): string {
  return formatNumber(area_m2, Math.abs(area_m2) < 0.95 ? 2 : 1, locale);
}

/** An amount with half the width of its interval, `8.8 ± 1.5`; a dash's null where there is none. */
export function spanText(
  found: { value: number | null; low: number | null; high: number | null },
  locale: string,
): string | null {
  const { value, low, high } = found;
  if (value === null || low === null || high === null) return null;
  const text = formatEstimate({ value, expanded: (high - low) / 2, most_places: 2 }, locale);
  return text.expanded === null ? text.value : `${text.value} ± ${text.expanded}`;
}

/** A predicted decay time with its interval of about 95 %: `0.32 (0.29 to 0.38)`, in seconds without the unit. */
export function predictedText(context: Context, predicted: PredictedDecay): string {
  const { words } = context;
  const time = (seconds: number) => formatNumber(seconds, TIME_PLACES, words.locale);
  return words.plain('advice.predicted', {
    value: time(predicted.time_s),
    low: time(predicted.low_s),
    high: time(predicted.high_s),
  });
}

/** A sum of money in the currency of the project, without cents beyond what was stated. */
export function moneyText(context: Context, amount: number): string {
  return formatMoney(amount, context.results.project.currency, context.words.locale);
}

/** Square metres with their unit, for a sentence. */
export function squareMetres(area_m2: number, locale: string): string {
  return withUnit(areaText(area_m2, locale), 'm²');
}

/** A cell of figures that claims nothing: grey where the verdict found no change. */
export function softCell(text: string | null, claimed: boolean): Cell {
  if (text === null || claimed) return numberCell(text);
  return { text: [text], tone: 'quiet' };
}

/** Sentences one after the other, a space between. */
export function sentences(parts: readonly Inline[][]): Inline[] {
  return parts.flatMap((part, index) => (index === 0 ? part : [' ', ...part]));
}
