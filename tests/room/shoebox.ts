import type { Box } from '../../src/room/modes.ts';

export const SHOEBOX: Box = { length_m: 5.2, width_m: 3.6, height_m: 2.6 };
const SPEED_M_S = 343;
const STEP_S = 0.001;

type Point = readonly [number, number, number];

/** Three source and microphone pairs, none on a line of symmetry. */
const PAIRS: readonly [source: Point, microphone: Point][] = [
  [
    [3.9, 2.4, 1.5],
    [2.1, 1.2, 1.4],
  ],
  [
    [3.9, 2.4, 1.5],
    [1.2, 2.2, 1.4],
  ],
  [
    [0.8, 0.7, 1.1],
    [4.1, 2.6, 1.7],
  ],
];

/**
 * T20 in seconds at each pair of an empty box whose six faces all absorb the share `alpha`: energies of the image sources (Allen and
 * Berkley, J. Acoust. Soc. Am. 65, 1979, 943) summed in steps of 1 ms up to `to_s`, integrated backwards, a line from -5 to -25 dB.
 */
export function shoeboxTimes_s(alpha: number, to_s: number): number[] {
  return PAIRS.map(([source, microphone]) => t20_s(energies({ source, microphone, alpha, to_s })));
}

function energies(at: { source: Point; microphone: Point; alpha: number; to_s: number }): Float64Array {
  const reach_m = SPEED_M_S * at.to_s;
  const edges_m = [SHOEBOX.length_m, SHOEBOX.width_m, SHOEBOX.height_m];
  // Along each axis: squared distance of every image, and the share its bounces leave.
  const axes = edges_m.map((edge_m, axis) => {
    const images: [square_m2: number, share: number][] = [];
    const most = Math.ceil(reach_m / (2 * edge_m)) + 1;
    for (let period = -most; period <= most; period++) {
      for (const mirrored of [0, 1]) {
        const place_m = (mirrored ? -at.source[axis]! : at.source[axis]!) + 2 * period * edge_m;
        const bounces = Math.abs(period - mirrored) + Math.abs(period);
        images.push([(place_m - at.microphone[axis]!) ** 2, (1 - at.alpha) ** bounces]);
      }
    }
    return images.filter(([square_m2]) => square_m2 <= reach_m ** 2);
  });
  const steps = new Float64Array(Math.floor(at.to_s / STEP_S));
  for (const [x, shareX] of axes[0]!) {
    for (const [y, shareY] of axes[1]!) {
      if (x + y > reach_m ** 2) continue;
      for (const [z, shareZ] of axes[2]!) {
        const step = Math.floor(Math.sqrt(x + y + z) / SPEED_M_S / STEP_S);
        if (step < steps.length) steps[step]! += (shareX * shareY * shareZ) / (x + y + z);
      }
    }
  }
  return steps;
}

function t20_s(steps: Float64Array): number {
  let sum = 0;
  const levels = Array.from(steps, () => 0);
  for (let i = steps.length - 1; i >= 0; i--) {
    sum += steps[i]!;
    levels[i] = 10 * Math.log10(sum);
  }
  const top_db = levels[0]!;
  const points = levels
    .map((level_db, i) => [i * STEP_S, level_db - top_db] as const)
    .filter(([, level_db]) => level_db <= -5 && level_db >= -25);
  const meanTime = points.reduce((total, [time]) => total + time, 0) / points.length;
  const meanLevel = points.reduce((total, [, level]) => total + level, 0) / points.length;
  const slope =
    points.reduce((total, [time, level]) => total + (time - meanTime) * (level - meanLevel), 0) /
    points.reduce((total, [time]) => total + (time - meanTime) ** 2, 0);
  return -60 / slope;
}
