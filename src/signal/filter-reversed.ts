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
  if (sections.length === 3 && sections.every(hasBandpassZeros)) {
    runBandpassBackwards(out, sections as [Section, Section, Section]);
  } else for (const section of sections) runSectionBackwards(out, section);
  return out;
}

/** Zeros at 0 Hz and at half the rate: b0 (1 - z^-2). */
const hasBandpassZeros = ({ b0, b1, b2 }: Section) => b1 === 0 && b2 === -b0;

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
 * Three sections with band-pass zeros in one pass. Each recursion waits for its own last value; side by side the processor works
 * on one while the others wait. With the three gains taken out to the front, a section needs two products in place of five.
 */
function runBandpassBackwards(inPlace: Float64Array, [a, b, c]: [Section, Section, Section]): void {
  const gain = a.b0 * b.b0 * c.b0;
  const { a1: aa1, a2: aa2 } = a;
  const { a1: ba1, a2: ba2 } = b;
  const { a1: ca1, a2: ca2 } = c;
  let [aFirst, aSecond, bFirst, bSecond, cFirst, cSecond] = [0, 0, 0, 0, 0, 0];
  for (let i = inPlace.length - 1; i >= 0; i--) {
    const w = gain * inPlace[i]!;
    const x = w + aFirst;
    aFirst = aSecond - aa1 * x;
    aSecond = -w - aa2 * x;
    const y = x + bFirst;
    bFirst = bSecond - ba1 * y;
    bSecond = -x - ba2 * y;
    const z = y + cFirst;
    cFirst = cSecond - ca1 * z;
    cSecond = -y - ca2 * z;
    inPlace[i] = z;
  }
}

/**
 * The energy that the same filter, of three sections with band-pass zeros, lets through, summed from the end back: each value is less the
 * energy from its index on, the last is 0. So the energy between two indices is the difference of their values, as of a sum from the
 * beginning, but a decay loses nothing to the rounding of the louder sound before it. `out` has one value more than lead and samples.
 *
 * Every section keeps its own last two values, from which zeros and poles are formed: a shorter wait from one sample to the next than
 * in transposed form. Two samples a turn, so that what is kept seldom has to be handed on.
 *
 * @param options.step_s what a square counts: the time from one sample to the next
 * @throws RangeError where the sections are not three with such zeros.
 */
export function energyReversedInto(
  out: Float64Array,
  samples: Float64Array,
  { sections, step_s }: { sections: readonly Section[]; step_s: number },
): Float64Array {
  if (sections.length !== 3 || !sections.every(hasBandpassZeros))
    throw new RangeError('no band-pass of three sections');
  const [a, b, c] = sections as [Section, Section, Section];
  const end = out.length - 1;
  const lead = end - samples.length;
  out.fill(0, 0, lead);
  out.set(samples, lead);
  out[end] = 0;
  const gain = a.b0 * b.b0 * c.b0 * Math.sqrt(step_s);
  const { a1: aa1, a2: aa2 } = a;
  const { a1: ba1, a2: ba2 } = b;
  const { a1: ca1, a2: ca2 } = c;
  let [aOne, aTwo, bOne, bTwo, cOne, cTwo, energy] = [0, 0, 0, 0, 0, 0, 0];
  // The turns end at index 0; the zero past the end makes their number even.
  for (let i = end - ((end + 1) % 2); i > 0; i -= 2) {
    const a = gain * out[i]! - aa2 * aTwo - aa1 * aOne;
    const b = a - aTwo - ba2 * bTwo - ba1 * bOne;
    const c = b - bTwo - ca2 * cTwo - ca1 * cOne;
    const later = c - cTwo;
    energy -= later * later;
    out[i] = energy;
    const aNext = gain * out[i - 1]! - aa2 * aOne - aa1 * a;
    const bNext = aNext - aOne - ba2 * bOne - ba1 * b;
    const cNext = bNext - bOne - ca2 * cOne - ca1 * c;
    const earlier = cNext - cOne;
    energy -= earlier * earlier;
    out[i - 1] = energy;
    aOne = aNext;
    aTwo = a;
    bOne = bNext;
    bTwo = b;
    cOne = cNext;
    cTwo = c;
  }
  return out;
}
