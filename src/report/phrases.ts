import type { Purpose } from '../project/project.ts';
import type { BandQuantity } from '../room/reading.ts';
import type { ChangeValue, Headline, StageValue } from '../statistics/finding.ts';
import type { Cell, Inline } from './document.ts';
import { bindUnits, formatList, formatNumber, formatSigned, intervalPlaces, withUnit } from './format.ts';
import type { Words } from './words.ts';
import { WRITTEN, writtenEstimate } from './written.ts';

/** The unit a quantity is written in; empty for a share. */
export function unitOf(quantity: BandQuantity): string {
  return WRITTEN[quantity].unit;
}

/** A stage value as `0.331 ± 0.017`, without its unit; null where there is none. */
export function estimateText(value: StageValue, locale: string): string | null {
  if (value.value === null) return null;
  const { quantity, expanded_uncertainty: expanded } = value;
  const text = writtenEstimate({ quantity, value: value.value, expanded }, locale);
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
  const { scale } = WRITTEN[change.quantity];
  const [value, low, high] = [change.difference * scale, change.low * scale, change.high * scale];
  const places = intervalPlaces({ low, high });
  const text = (number: number) => formatSigned(number, places, locale);
  return { value: text(value), low: text(low), high: text(high) };
}

/** Bands in words for a sentence: mid frequencies by name, else as {@link bandsList}. */
export function bandsText(bands_hz: readonly number[], words: Words): string {
  if (bands_hz.length === 2 && bands_hz[0] === 500 && bands_hz[1] === 1000) return words.plain('bands.mid');
  return bandsList(bands_hz, words);
}

/** Bands by their midbands, three octaves or more in a row by the first and the last: `125 and 500 to 4000 Hz`. */
export function bandsList(bands_hz: readonly number[], words: Words): string {
  const parts = octaveRuns(bands_hz).flatMap((run) =>
    run.length > 2 ? [words.plain('bands.range', { from: String(run[0]), to: String(run.at(-1)) })] : run.map(String),
  );
  return words.plain('bands.some', { list: formatList(parts, words.locale) });
}

/** Bands cut into runs of neighbouring octaves. Nominal midbands are near enough: 63 to 125 is less than two and a half times. */
function octaveRuns(bands_hz: readonly number[]): number[][] {
  const runs: number[][] = [];
  for (const band of [...bands_hz].sort((a, b) => a - b)) {
    const run = runs.at(-1);
    if (run && band / run.at(-1)! < 2.5) run.push(band);
    else runs.push([band]);
  }
  return runs;
}

/** Reasons as one run of text, each said once, without a full stop at the end. */
export function reasonsText(reasons: readonly string[]): string {
  return [...new Set(reasons.map((reason) => typeset(reason).replace(/[.;]+$/, '')))].join('; ');
}

/** A reason or message of the analysis as print has it: raised figures in units, degrees, units bound to their numbers. */
export function typeset(message: string): string {
  const raised = message.trim().replace(/\bm([23])\b/g, (_unit, power) => (power === '2' ? 'm²' : 'm³'));
  return bindUnits(raised.replace(/(\d) C\b/g, '$1 °C'));
}

/** The reasons that every value of a table carries: said once under it, with no mark on each cell. */
export function sharedReasons(values: readonly { value: unknown; reasons: string[] }[]): string[] {
  const present = values.filter(({ value }) => value !== null);
  const [first, ...others] = present;
  return first && others.length > 0
    ? first.reasons.filter((reason) => others.every(({ reasons }) => reasons.includes(reason)))
    : [];
}

/** The one quantity that all rows of a table share, or null where they differ; rows without one do not count. */
export function sharedQuantity(quantities: readonly (BandQuantity | null)[]): BandQuantity | null {
  const [only, ...others] = new Set(quantities.filter((quantity) => quantity !== null));
  return only !== undefined && others.length === 0 ? only : null;
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
