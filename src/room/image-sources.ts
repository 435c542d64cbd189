import type { Box } from './modes.ts';
import type { Reflection } from './reading.ts';

/** Metres along length, width and height from one corner. */
export type Point = readonly [number, number, number];

/** A face of the box: the walls across the length and across the width, at its start (0) and its far end, floor and ceiling. */
export const FACES = ['length-0', 'length-end', 'width-0', 'width-end', 'floor', 'ceiling'] as const;
export type Face = (typeof FACES)[number];

export interface FirstReflection {
  face: Face;
  delay_s: number;
  extra_path_m: number;
  /** Where on the face the sound turns: the place to treat. */
  point_m: Point;
  /** Level relative to the direct sound by distance alone, as a hard face would give it. */
  hard_level_db: number;
}

export interface Geometry {
  box: Box;
  source: Point;
  microphone: Point;
  speed_m_s: number;
}

/**
 * The six first-order reflections of a box-shaped room in the order they arrive, by image sources (Allen and Berkley,
 * J. Acoust. Soc. Am. 65, 1979, 943). null where source or microphone lies outside the box or both at one place.
 */
export function firstReflections({ box, source, microphone, speed_m_s }: Geometry): FirstReflection[] | null {
  const edges_m = [box.length_m, box.width_m, box.height_m];
  const inside = (point: Point) => point.every((value, axis) => value >= 0 && value <= edges_m[axis]!);
  const direct_m = distance(source, microphone);
  if (!inside(source) || !inside(microphone) || direct_m === 0) return null;
  const reflections = FACES.map((face, index): FirstReflection => {
    const axis = Math.floor(index / 2);
    const plane_m = index % 2 === 0 ? 0 : edges_m[axis]!;
    const image = source.map((value, i) => (i === axis ? 2 * plane_m - value : value)) as unknown as Point;
    const path_m = distance(image, microphone);
    const toPlane = Math.abs(source[axis]! - plane_m);
    const whole = toPlane + Math.abs(microphone[axis]! - plane_m);
    const share = whole === 0 ? 0.5 : toPlane / whole;
    const turn = source.map((value, i) => (i === axis ? plane_m : value + share * (microphone[i]! - value)));
    const extra_path_m = path_m - direct_m;
    return {
      face,
      delay_s: extra_path_m / speed_m_s,
      extra_path_m,
      point_m: turn as unknown as Point,
      hard_level_db: 20 * Math.log10(direct_m / path_m),
    };
  });
  return reflections.sort((a, b) => a.extra_path_m - b.extra_path_m);
}

function distance(a: Point, b: Point): number {
  return Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
}

export interface MatchedReflection {
  measured: Reflection;
  /** Faces whose reflection arrives within the tolerance, the nearest first. Empty: furniture, or a second bounce. */
  candidates: (FirstReflection & { misfit_m: number })[];
}

/** A tape measure and a hand-held source place both points to a decimetre or so; the path then errs by about twice that (our judgement). */
export const PATH_TOLERANCE_M = 0.25;

/**
 * Which face each measured reflection most likely came from: those of the box whose extra path agrees within `tolerance_m`.
 * The path is taken from the delay and the speed of sound of the geometry. More than one candidate means that the recording cannot tell them apart.
 */
export function matchReflections(
  measured: readonly Reflection[],
  geometry: Geometry,
  tolerance_m = PATH_TOLERANCE_M,
): MatchedReflection[] {
  const expected = firstReflections(geometry) ?? [];
  return measured.map((reflection) => {
    const path_m = reflection.delay_s * geometry.speed_m_s;
    const candidates = expected
      .map((candidate) => ({ ...candidate, misfit_m: Math.abs(candidate.extra_path_m - path_m) }))
      .filter(({ misfit_m }) => misfit_m <= tolerance_m)
      .sort((a, b) => a.misfit_m - b.misfit_m);
    return { measured: reflection, candidates };
  });
}
