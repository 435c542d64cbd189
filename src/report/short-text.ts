const LIMIT = 60;

/**
 * What a user typed, short enough to stand inside a sentence or a table head: one line, at most `limit` characters as a reader
 * counts them, a cut shown by an ellipsis. The whole text stands where it is introduced.
 */
export function shortText(text: string, limit = LIMIT): string {
  const line = text.replace(/\s+/gu, ' ').trim();
  // Far more code points than letters: stacked accents are cut as well.
  const letters = [...new Intl.Segmenter('en').segment(line.slice(0, limit * 8))].map(({ segment }) => segment);
  if (letters.length <= limit && line.length <= limit * 8) return line;
  const kept = letters.slice(0, limit - 1).join('');
  return `${kept.trimEnd()}…`;
}
