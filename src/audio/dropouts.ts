export interface Dropout {
  start: number;
  length: number;
}

/** Shorter runs of equal samples happen by themselves, longer ones are pauses or gates. */
const SHORTEST_S = 0.0004;
const LONGEST_S = 0.25;
const CONTEXT_S = 0.004;
/** Beside a dropout the samples must move by so many steps of the resolution from one to the next, on average. */
const LIVELY_STEPS = 3;
/** A gap between parts of very different level is a gate that shuts or opens. */
const MOST_LEVEL_JUMP = 6;

/**
 * Stretches in which a recording stands still on one value, silence mostly, while just before and after it moves as usual:
 * samples lost on the way.
 *
 * @param samples one channel as decoded
 * @param resolution the step of the coding: 2 / 2^bits for PCM, 0 for float
 */
export function dropouts(
  samples: Float64Array,
  { rate_hz, resolution }: { rate_hz: number; resolution: number },
): Dropout[] {
  const found: Dropout[] = [];
  const shortest = Math.max(12, Math.round(SHORTEST_S * rate_hz));
  const context = Math.round(CONTEXT_S * rate_hz);
  // A run that is long enough holds one of these samples with its next: of the others none need be looked at.
  for (let at = 0; at + 1 < samples.length; at += shortest - 1) {
    if (samples[at] !== samples[at + 1]) continue;
    const { start, end } = runAround(samples, at);
    const length = end - start;
    if (length >= shortest && length <= LONGEST_S * rate_hz && start >= context && end + context <= samples.length) {
      const before = meanStep(samples, start - context, start);
      const after = meanStep(samples, end, end + context);
      const lively = Math.min(before, after) > Math.max(LIVELY_STEPS * resolution, 1e-9);
      const alike = Math.max(before, after) < MOST_LEVEL_JUMP * Math.min(before, after);
      if (lively && alike) found.push({ start, length });
    }
    // On to the last of these samples within the run; the next may be in another.
    at += Math.floor((end - 1 - at) / (shortest - 1)) * (shortest - 1);
  }
  return found;
}

/** The run of equal samples about an index: its first, and the first past it. */
function runAround(samples: Float64Array, at: number): { start: number; end: number } {
  let [start, end] = [at, at + 1];
  while (start > 0 && samples[start - 1] === samples[at]) start--;
  while (end < samples.length && samples[end] === samples[at]) end++;
  return { start, end };
}

function meanStep(samples: Float64Array, from: number, to: number): number {
  let sum = 0;
  for (let i = from + 1; i < to; i++) sum += Math.abs(samples[i]! - samples[i - 1]!);
  return sum / (to - from - 1);
}
