/** Pressure reflection factors of the six walls: x low, x high, y low, y high, floor, ceiling. */
export type WallReflection = readonly [number, number, number, number, number, number];

export interface Arrival {
  delay_s: number;
  /** Relative to the direct sound. */
  amplitude: number;
}

export type Point = readonly [number, number, number];

const SOUND_SPEED_M_S = 343.2;

/**
 * The direct sound and the reflections of a box, by image sources (Allen and Berkley 1979), frequency left out of account.
 *
 * @param size_m length, width, height
 * @param until_s latest arrival after the direct sound
 * @returns arrivals in order of time; the first is the direct sound, at delay 0 and amplitude 1
 */
export function boxReflections(
  size_m: Point,
  { source, microphone, walls, until_s }: { source: Point; microphone: Point; walls: WallReflection; until_s: number },
): Arrival[] {
  const direct_m = Math.hypot(...source.map((s, i) => s - microphone[i]!));
  const farthest_m = direct_m + until_s * SOUND_SPEED_M_S;
  const images = size_m.map((size, axis) => {
    const reach = Math.ceil(farthest_m / (2 * size)) + 1;
    const along: { offset_m: number; reflection: number }[] = [];
    for (let n = -reach; n <= reach; n++) {
      for (const mirrored of [0, 1]) {
        const offset_m = (1 - 2 * mirrored) * source[axis]! + 2 * n * size - microphone[axis]!;
        const reflection = walls[2 * axis]! ** Math.abs(n - mirrored) * walls[2 * axis + 1]! ** Math.abs(n);
        along.push({ offset_m, reflection });
      }
    }
    return along;
  });
  const arrivals: Arrival[] = [];
  for (const x of images[0]!) {
    for (const y of images[1]!) {
      for (const z of images[2]!) {
        const path_m = Math.hypot(x.offset_m, y.offset_m, z.offset_m);
        if (path_m > farthest_m) continue;
        const amplitude = (x.reflection * y.reflection * z.reflection * direct_m) / path_m;
        arrivals.push({ delay_s: (path_m - direct_m) / SOUND_SPEED_M_S, amplitude });
      }
    }
  }
  return arrivals.sort((a, b) => a.delay_s - b.delay_s);
}
