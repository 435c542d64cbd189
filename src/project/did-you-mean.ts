import { distance } from 'fastest-levenshtein';

/**
 * Returns the candidate a mistyped word most likely stands for, or null where none is near.
 *
 * Near means at most two fifths of the longer word's letters wrong (Levenshtein distance, capitals ignored), or the beginning
 * of just one candidate, three letters or more. Of equally near candidates the first is given. An exact match is no misspelling, but one that differs in capitals only is.
 */
export function didYouMean(word: string, candidates: readonly string[]): string | null {
  let best: string | null = null;
  let fewest = Number.POSITIVE_INFINITY;
  for (const candidate of candidates) {
    if (candidate === word) continue;
    const wrong = distance(word.toLowerCase(), candidate.toLowerCase());
    const allowed = Math.max(1, Math.floor(0.4 * Math.max(word.length, candidate.length)));
    if (wrong < fewest && wrong <= allowed && wrong < candidate.length) {
      best = candidate;
      fewest = wrong;
    }
  }
  if (best !== null || word.length < 3) return best;
  const begun = candidates.filter((candidate) => candidate.toLowerCase().startsWith(word.toLowerCase()));
  return begun.length === 1 && begun[0] !== word ? begun[0]! : null;
}
