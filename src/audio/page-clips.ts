import type { PassageSound } from './passage-pair.ts';

/** A fade as short as this is not heard as one, and keeps the end of a clip from clicking. */
const FADE_S = 0.01;

/**
 * Two clips cut to one length in seconds, at most `longest_s`, each faded over its last 10 ms, so that they can be played side by
 * side and over and over.
 */
export function pageClips(
  pair: readonly [before: PassageSound, after: PassageSound],
  longest_s: number,
): [before: PassageSound, after: PassageSound] {
  const seconds = Math.min(longest_s, ...pair.map(({ samples, rate_hz }) => samples.length / rate_hz));
  const cut = ({ samples, rate_hz }: PassageSound): PassageSound => {
    const kept = samples.slice(0, Math.round(seconds * rate_hz));
    const fade = Math.min(kept.length, Math.round(FADE_S * rate_hz));
    for (let i = 1; i <= fade; i++) kept[kept.length - i]! *= (i - 1) / fade;
    return { rate_hz, samples: kept };
  };
  return [cut(pair[0]), cut(pair[1])];
}
