import type { Section } from './butterworth.ts';

/**
 * The samples filtered backwards in time by a cascade of sections, so that the filter rings towards earlier times and cannot
 * lengthen a decay (Jacobsen and Rindel, J. Sound Vib. 117 (1987) 187-190). The filter starts from rest at the end of
 * `samples`, and goes on for `lead` samples before their beginning, where the input is taken as zero.
 *
 * Returns a new array of `lead + samples.length` values, in order of time: index `lead` belongs to `samples[0]`.
 */
export function filterReversed(samples: Float64Array, sections: readonly Section[], lead = 0): Float64Array {
  const out = new Float64Array(lead + samples.length);
  out.set(samples, lead);
  for (const section of sections) runSectionBackwards(out, section);
  return out;
}

/** Transposed direct form II, in place, from the last value to the first. */
function runSectionBackwards(inPlace: Float64Array, { b0, b1, b2, a1, a2 }: Section): void {
  let first = 0;
  let second = 0;
  for (let i = inPlace.length - 1; i >= 0; i--) {
    const x = inPlace[i]!;
    const y = b0 * x + first;
    first = b1 * x - a1 * y + second;
    second = b2 * x - a2 * y;
    inPlace[i] = y;
  }
}
