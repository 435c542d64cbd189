import { distance } from 'fastest-levenshtein';

/**
 * Returns the candidate a mistyped word most likely stands for, or null where none is near.
 *
 * Near means at most a third of the longer word's letters wrong (Levenshtein distance, capitals ignored). Of equally near
 * candidates the first is given. An exact match is no misspelling, but one that differs in capitals only is.
 */
export function didYouMean(word: string, candidates: readonly string[]): string | null {
  let best: string | null = null;
  let fewest = Number.POSITIVE_INFINITY;
  for (const candidate of candidates) {
    if (candidate === word) continue;
    const wrong = distance(word.toLowerCase(), candidate.toLowerCase());
    const allowed = Math.max(1, Math.floor(Math.max(word.length, candidate.length) / 3));
    if (wrong < fewest && wrong <= allowed && wrong < candidate.length) {
      best = candidate;
      fewest = wrong;
    }
  }
  return best;
}
