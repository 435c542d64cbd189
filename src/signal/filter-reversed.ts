import type { Section } from './butterworth.ts';

/**
 * The samples filtered backwards in time by a cascade of sections, so that the filter rings towards earlier times and cannot
 * lengthen a decay (Jacobsen and Rindel, J. Sound Vib. 117 (1987) 187-190). The filter starts from rest at the end of
 * `samples`, and goes on for `lead` samples before their beginning, where the input is taken as zero.
 *
 * Returns a new array of `lead + samples.length` values, in order of time: index `lead` belongs to `samples[0]`.
 */
export function filterReversed(samples: Float64Array, sections: readonly Section[], lead = 0): Float64Array {
  return filterReversedInto(new Float64Array(lead + samples.length), samples, sections);
}

/** The same into `out`, whose length says how long the filter goes on before the beginning. Returns `out`. */
export function filterReversedInto(
  out: Float64Array,
  samples: Float64Array,
  sections: readonly Section[],
): Float64Array {
  const lead = out.length - samples.length;
  out.fill(0, 0, lead);
  out.set(samples, lead);
  let done = 0;
  for (; done + 3 <= sections.length; done += 3) {
    runThreeBackwards(out, sections[done]!, [sections[done + 1]!, sections[done + 2]!]);
  }
  for (; done < sections.length; done++) runSectionBackwards(out, sections[done]!);
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

/**
 * Three sections in one pass, to the same bits as one after the other. Each recursion waits for its own last value; side by
 * side the processor works on one while the others wait: seen to take half the time.
 */
function runThreeBackwards(inPlace: Float64Array, a: Section, [b, c]: [Section, Section]): void {
  const { b0: ab0, b1: ab1, b2: ab2, a1: aa1, a2: aa2 } = a;
  const { b0: bb0, b1: bb1, b2: bb2, a1: ba1, a2: ba2 } = b;
  const { b0: cb0, b1: cb1, b2: cb2, a1: ca1, a2: ca2 } = c;
  let aFirst = 0;
  let aSecond = 0;
  let bFirst = 0;
  let bSecond = 0;
  let cFirst = 0;
  let cSecond = 0;
  for (let i = inPlace.length - 1; i >= 0; i--) {
    const w = inPlace[i]!;
    const x = ab0 * w + aFirst;
    aFirst = ab1 * w - aa1 * x + aSecond;
    aSecond = ab2 * w - aa2 * x;
    const y = bb0 * x + bFirst;
    bFirst = bb1 * x - ba1 * y + bSecond;
    bSecond = bb2 * x - ba2 * y;
    const z = cb0 * y + cFirst;
    cFirst = cb1 * y - ca1 * z + cSecond;
    cSecond = cb2 * y - ca2 * z;
    inPlace[i] = z;
  }
}
