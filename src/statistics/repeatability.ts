import type { Cell, Place } from './cells.ts';

/** How far repeats at one place differ beyond the noise that theory already counts, pooled over cells. */
export interface Repeatability {
  /** Variance of one reading about its place's mean, beyond its share of noise, as a multiple of the floor; 0 or more. */
  excess: number;
  /** Degrees of freedom of the pool; 0: nowhere more than one response at a place, so nothing was seen. */
  dof: number;
}

/** Pools the spread of repeats within places over the cells given (neighbouring bands, both stages of a pair). */
export function poolRepeatability(cells: readonly Cell[]): Repeatability {
  let beyond = 0;
  let dof = 0;
  for (const place of cells.flatMap((cell) => cell.places)) {
    const own_dof = place.responses - 1;
    beyond += place.within / place.floor - place.noise_share * own_dof;
    dof += own_dof;
  }
  return { excess: dof === 0 ? 0 : Math.max(0, beyond / dof), dof };
}

/** Variance of a place's mean by noise of the recordings, on the work scale. */
export function noiseVariance(place: Place): number {
  return (place.noise_share * place.floor) / place.responses;
}

/** Variance of a place's mean by what differs from repeat to repeat beyond that noise. Nothing is known of it from one response. */
export function excessVariance(place: Place, repeatability: Repeatability): number {
  return (repeatability.excess * place.floor) / place.responses;
}
