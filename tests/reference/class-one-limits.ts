/**
 * Limits of relative attenuation in dB, class 1, IEC 61260-1:2014, Table 1: exponent p of the frequency G^p relative to the
 * midband for octaves, least and most attenuation. Just inside and just outside the edge are two rows.
 */
export const CLASS_ONE_LIMITS: readonly (readonly [number, number, number])[] = [
  [0, -0.4, 0.4],
  [1 / 8, -0.4, 0.5],
  [1 / 4, -0.4, 0.7],
  [3 / 8, -0.4, 1.4],
  [1 / 2 - 1e-9, -0.4, 5.3],
  [1 / 2 + 1e-9, 1.2, Number.POSITIVE_INFINITY],
  [1, 16.6, Number.POSITIVE_INFINITY],
  [2, 40.5, Number.POSITIVE_INFINITY],
  [3, 60, Number.POSITIVE_INFINITY],
  [4, 70, Number.POSITIVE_INFINITY],
];

const G = 10 ** 0.3;

/**
 * Frequency ratio of a breakpoint: G^p for octaves; for one-third octaves by formulas (9) and (10) of IEC 61260-1:2014 (from
 * memory; they give the printed 0.97402 of its Annex E).
 */
export function breakpointRatio(exponent: number, bandsPerOctave: 1 | 3): number {
  const octave = G ** Math.abs(exponent);
  const above = bandsPerOctave === 1 ? octave : 1 + ((G ** (1 / 6) - 1) / (G ** (1 / 2) - 1)) * (octave - 1);
  return exponent < 0 ? 1 / above : above;
}

/** Limits at any exponent from 0 to 4: straight lines in dB over log-frequency between the breakpoints (5.10, from memory). */
export function limitsBetween(ratio: number, bandsPerOctave: 1 | 3): { least: number; most: number } {
  const distance = Math.abs(Math.log(ratio));
  const points = CLASS_ONE_LIMITS.map(([p, least, most]) => ({
    x: Math.log(breakpointRatio(p, bandsPerOctave)),
    least,
    most,
  }));
  const after = points.findIndex(({ x }) => x > distance);
  const [low, high] = after < 0 ? [points.at(-1)!, points.at(-1)!] : [points[after - 1]!, points[after]!];
  const share = high.x > low.x ? (distance - low.x) / (high.x - low.x) : 0;
  const between = (a: number, b: number) => (a === b ? a : a + share * (b - a));
  return { least: between(low.least, high.least), most: between(low.most, high.most) };
}
