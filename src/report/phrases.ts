import type { Purpose } from '../project/project.ts';
import type { ChangeValue, Headline, StageValue } from '../statistics/finding.ts';
import type { Cell, Inline } from './document.ts';
import { formatEstimate, formatList, formatNumber, formatSigned, intervalPlaces, withUnit } from './format.ts';
import type { Words } from './words.ts';

/** How a quantity is written: unit, and what a base-unit value is multiplied by. */
const WRITTEN: Record<string, { unit: string; scale: number }> = {
  edt_s: { unit: 's', scale: 1 },
  t20_s: { unit: 's', scale: 1 },
  t30_s: { unit: 's', scale: 1 },
  tfull_s: { unit: 's', scale: 1 },
  c50_db: { unit: 'dB', scale: 1 },
  c80_db: { unit: 'dB', scale: 1 },
  d50: { unit: '', scale: 1 },
  ts_s: { unit: 'ms', scale: 1000 },
  late_level_db: { unit: 'dB', scale: 1 },
};

/** The unit a quantity is written in; empty for a share. */
export function unitOf(quantity: string): string {
  return WRITTEN[quantity]?.unit ?? '';
}

/** A stage value as `0.331 ± 0.017`, without its unit; null where there is none. */
export function estimateText(value: StageValue, locale: string): string | null {
  if (value.value === null) return null;
  const scale = WRITTEN[value.quantity]?.scale ?? 1;
  const expanded = value.expanded_uncertainty === null ? null : value.expanded_uncertainty * scale;
  const text = formatEstimate({ value: value.value * scale, expanded }, locale);
  return text.expanded === null ? text.value : `${text.value} ± ${text.expanded}`;
}

/** A stage value with its unit: `0.331 ± 0.017 s`; null where there is none. */
export function estimateWithUnit(value: StageValue, locale: string): string | null {
  const text = estimateText(value, locale);
  return text === null ? null : withUnit(text, unitOf(value.quantity));
}

/** A change in per cent with the ends of its interval, signs written: `−36 %`, `−43 %`, `−28 %`. Null where there is none. */
export function percentTexts(
  change: Pick<Headline, 'percent' | 'percent_low' | 'percent_high'>,
  locale: string,
): { value: string; low: string; high: string; size: string } | null {
  const { percent, percent_low: low, percent_high: high } = change;
  if (percent === null || low === null || high === null) return null;
  const places = intervalPlaces({ low, high });
  const text = (value: number) => withUnit(formatSigned(value, places, locale), '%');
  const size = withUnit(formatNumber(Math.abs(percent), places, locale), '%');
  return { value: text(percent), low: text(low), high: text(high), size };
}

/** A difference in the quantity's own unit with the ends of its interval, signs written, without unit. Null where there is none. */
export function differenceTexts(
  change: Pick<ChangeValue, 'quantity' | 'difference' | 'low' | 'high'>,
  locale: string,
): { value: string; low: string; high: string } | null {
  if (change.difference === null || change.low === null || change.high === null) return null;
  const scale = WRITTEN[change.quantity]?.scale ?? 1;
  const [value, low, high] = [change.difference * scale, change.low * scale, change.high * scale];
  const places = intervalPlaces({ low, high });
  const text = (number: number) => formatSigned(number, places, locale);
  return { value: text(value), low: text(low), high: text(high) };
}

/** Bands in words: mid frequencies by name, else their midbands. */
export function bandsText(bands_hz: readonly number[], words: Words): string {
  if (bands_hz.length === 2 && bands_hz[0] === 500 && bands_hz[1] === 1000) return words.plain('bands.mid');
  return words.plain('bands.some', { list: formatList(bands_hz.map(String), words.locale) });
}

/** Reasons as one run of text, each said once, without a full stop at the end. */
export function reasonsText(reasons: readonly string[]): string {
  return [...new Set(reasons.map((reason) => reason.trim().replace(/[.;]+$/, '')))].join('; ');
}

/** What a room is used for, in words. */
export function purposeText(purpose: Purpose, words: Words): string {
  return words.plain(`purpose.${purpose}`);
}

/** A cell of plain words. */
export function textCell(text: Inline[] | string): Cell {
  return { text: typeof text === 'string' ? [text] : text, tone: 'text' };
}

/** A cell of figures; a dash where there are none. */
export function numberCell(text: string | null): Cell {
  return text === null ? { text: ['–'], tone: 'quiet' } : { text: [text], tone: 'number' };
}
