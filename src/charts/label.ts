import { formatNumber } from '../report/format.ts';

/** Nominal midband as an axis names it: 125, 1k, 2k. Band in Hz. */
export function bandLabel(centre_hz: number): string {
  return centre_hz >= 1000 ? `${centre_hz / 1000}k` : String(centre_hz);
}

/** Nominal midband as a sentence names it: 125 Hz, 1 kHz. */
export function bandName(centre_hz: number, locale: string): string {
  if (centre_hz < 1000) return `${centre_hz} Hz`;
  return `${formatNumber(centre_hz / 1000, Number.isInteger(centre_hz / 1000) ? 0 : 2, locale)} kHz`;
}

/** A line of printable ASCII with single spaces, where every character is a letter to the reader too. */
const PLAIN = /^[!-~]+(?: [!-~]+)*$/;
const LETTERS = new Intl.Segmenter('en');

/**
 * `text` fit for a label: one line, no characters that XML forbids, at most `limit` characters as a reader counts them, the
 * cut shown by an ellipsis.
 */
export function tidyLabel(text: string, limit = 60): string {
  // Most labels are short and plain; a take chart has hundreds.
  if (text.length <= limit && PLAIN.test(text)) return text;
  const line = text
    .replace(/\p{Cc}|\p{Cs}|\u2028|\u2029|\ufffe|\uffff/gu, ' ')
    .replace(/\s+/g, ' ')
    .trim();
  // A reader's character may be dozens of code points (emoji, stacked accents): the code points are capped as well.
  const letters = [...LETTERS.segment(line.slice(0, limit * 8))].map((part) => part.segment);
  if (letters.length <= limit && line.length <= limit * 8) return line;
  const kept = letters.slice(0, limit - 1).join('');
  return `${kept.trimEnd()}…`;
}

/** `label` broken after a word into two lines of about equal length where it is longer than `letters`; words are never broken. */
export function twoLines(label: string, letters: number): string {
  if (label.length <= letters) return label;
  const breaks = [...label.matchAll(/ /g)].map((space) => space.index);
  const middle = label.length / 2;
  const nearest = breaks.sort((a, b) => Math.abs(a - middle) - Math.abs(b - middle))[0];
  return nearest === undefined ? label : `${label.slice(0, nearest)}\n${label.slice(nearest + 1)}`;
}
