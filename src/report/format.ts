const THIN = '\u202f';
const NO_BREAK = '\u00a0';
const MINUS = '−';
const MAX_PLACES = 5;

/** Making a formatter takes a hundred times as long as using it. One for each language and number of places. */
const formats = new Map<string, Intl.NumberFormat>();

function numberFormat(locale: string, digits: number): Intl.NumberFormat {
  const key = `${locale} ${digits}`;
  const known = formats.get(key);
  if (known) return known;
  const made = new Intl.NumberFormat(locale, { minimumFractionDigits: digits, maximumFractionDigits: digits });
  formats.set(key, made);
  return made;
}

/** Number and unit with a space between that does not break (ISO 80000-1, 7.1.4: also before the per cent sign, there a thin one). */
export function withUnit(text: string, unit: string): string {
  if (unit === '') return text;
  return `${text}${unit === '%' ? THIN : NO_BREAK}${unit}`;
}

/** A sentence as a catalogue holds it, with the spaces between numbers and units as {@link withUnit} sets them. */
export function bindUnits(sentence: string): string {
  return sentence
    .replace(/(\d) %/g, `$1${THIN}%`)
    .replace(/(\d) (dB|Hz|kHz|ms|mm|m|s|h|°C)(?![\p{L}])/gu, `$1${NO_BREAK}$2`);
}

/**
 * A number with that many decimal places in the digits of the language, with a true minus sign, and no sign on a zero.
 * Negative places round to tens, hundreds and so on.
 */
export function formatNumber(value: number, places: number, locale: string): string {
  const digits = Math.max(0, places);
  const text = numberFormat(locale, digits).format(Math.abs(roundTo(value, places)));
  return value < 0 && /[1-9]/.test(text) ? MINUS + text : text;
}

/** As formatNumber, with a plus sign before what is more than zero. */
export function formatSigned(value: number, places: number, locale: string): string {
  const text = formatNumber(value, places, locale);
  return value > 0 && /[1-9]/.test(text) ? `+${text}` : text;
}

/**
 * Decimal places at which an uncertainty is worth writing: two significant digits where the first is 1 or 2, else one, so
 * never more than the two of JCGM 100:2008, 7.2.6, and never rounded by more than a fifth of itself. Whole numbers keep their
 * last two digits. The uncertainty is positive; zero gives the most places there are.
 */
export function uncertaintyPlaces(uncertainty: number): number {
  if (!(uncertainty > 0)) return MAX_PLACES;
  const exponent = Math.floor(Math.log10(uncertainty) + 1e-12);
  const first = Math.floor(uncertainty / 10 ** exponent + 1e-9);
  const places = (first <= 2 ? 1 : 0) - exponent;
  return Math.min(MAX_PLACES, places < 0 ? 1 - exponent : places);
}

/**
 * A value and its expanded uncertainty, both to the second significant digit of the uncertainty, the most that JCGM 100:2008,
 * 7.2.6, asks for; to the first where that needs more than `most_places` decimals.
 */
export function formatEstimate(
  estimate: { value: number; expanded: number | null; most_places?: number },
  locale: string,
): { value: string; expanded: string | null } {
  const { value, expanded, most_places = MAX_PLACES } = estimate;
  if (expanded === null || !(expanded > 0)) return { value: formatSignificant(value, 2, locale), expanded: null };
  const worth = Math.min(most_places, significantPlaces(expanded, 2));
  const places = Math.min(MAX_PLACES, Math.max(worth, significantPlaces(expanded, 1)));
  return { value: formatNumber(value, places, locale), expanded: formatNumber(expanded, places, locale) };
}

/**
 * Decimal places for a value and the two ends of its interval: what half the interval is worth; more where the interval lies
 * clear of zero and rounding would write an end of it as zero, so that the digits never contradict a verdict.
 */
export function intervalPlaces(interval: { low: number; high: number }): number {
  const { low, high } = interval;
  let places = uncertaintyPlaces((high - low) / 2);
  const nearest = Math.min(Math.abs(low), Math.abs(high));
  const clear = low > 0 || high < 0;
  while (clear && places < MAX_PLACES && roundTo(nearest, places) === 0) places += 1;
  return places;
}

/** Rounds half away from zero to so many decimal places. */
export function roundTo(value: number, places: number): number {
  const scale = 10 ** places;
  return (Math.sign(value) * Math.round(Math.abs(value) * scale * (1 + Number.EPSILON))) / scale;
}

/** A sum of money with the code of its currency, without decimals where it has none; a bare number where no currency is stated. */
export function formatMoney(amount: number, currency: string | undefined, locale: string): string {
  const whole = Number.isInteger(amount);
  const digits = { minimumFractionDigits: whole ? 0 : 2, maximumFractionDigits: whole ? 0 : 2 };
  const money = currency === undefined ? {} : ({ style: 'currency', currency, currencyDisplay: 'code' } as const);
  return new Intl.NumberFormat(locale, { ...digits, ...money }).format(amount);
}

/** A day such as 2026-05-12 in the long form of the language. */
export function formatDate(isoDate: string, locale: string): string {
  const [year, month, day] = isoDate.split('-').map(Number) as [number, number, number];
  return new Intl.DateTimeFormat(locale, { dateStyle: 'long', timeZone: 'UTC' }).format(Date.UTC(year, month - 1, day));
}

/** Things said in a row, joined as the language joins them: a, b and c. */
export function formatList(items: string[], locale: string): string {
  return new Intl.ListFormat(locale, { type: 'conjunction' }).format(items);
}

/** A number to so many significant digits; places before the decimal mark are all written. */
export function formatSignificant(value: number, digits: number, locale: string): string {
  return formatNumber(value, Math.max(0, Math.min(MAX_PLACES, significantPlaces(value, digits))), locale);
}

/** Decimal places that show so many significant digits of a number, after it is rounded to them; 0 for zero. */
function significantPlaces(value: number, digits: number): number {
  if (value === 0) return 0;
  const rounded = Number(Math.abs(value).toPrecision(digits));
  return digits - 1 - Math.floor(Math.log10(rounded) + 1e-12);
}
