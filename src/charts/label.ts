import type { ChartWords } from './words.ts';

/** Nominal midband as an axis names it: 125, 1k, 2k. Band in Hz. */
export function bandLabel(centre_hz: number): string {
  return centre_hz >= 1000 ? `${centre_hz / 1000}k` : String(centre_hz);
}

/** Nominal midband as a sentence names it: 125 Hz, 1 kHz. */
export function bandName(centre_hz: number, words: ChartWords): string {
  const [value, unit] = centre_hz >= 1000 ? [centre_hz / 1000, 'kHz'] : [centre_hz, 'Hz'];
  return `${String(value).replace('.', words.marks.decimal)} ${unit}`;
}

/** `value` to so many decimals, with the decimal mark of the language and a true minus sign. */
export function numeral(value: number, decimals: number, words: ChartWords): string {
  const text = Math.abs(value).toFixed(decimals);
  const sign = value < 0 && Number(text) !== 0 ? '−' : '';
  return sign + text.replace('.', words.marks.decimal);
}

/** As {@link numeral}, with a plus sign in front of gains. */
export function signedNumeral(value: number, decimals: number, words: ChartWords): string {
  const text = numeral(value, decimals, words);
  return value > 0 && /[1-9]/.test(text) ? `+${text}` : text;
}

/**
 * `text` fit for a label: one line, no characters that XML forbids, at most `limit` characters as a reader counts them, the
 * cut shown by an ellipsis.
 */
export function tidyLabel(text: string, limit = 60): string {
  const line = text
    .replace(/\p{Cc}|\p{Cs}|\u2028|\u2029|\ufffe|\uffff/gu, ' ')
    .replace(/\s+/g, ' ')
    .trim();
  // A reader's character may be dozens of code points (emoji, stacked accents): the code points are capped as well.
  const letters = [...new Intl.Segmenter('en').segment(line.slice(0, limit * 8))].map((part) => part.segment);
  if (letters.length <= limit && line.length <= limit * 8) return line;
  return `${letters
    .slice(0, limit - 1)
    .join('')
    .trimEnd()}…`;
}
