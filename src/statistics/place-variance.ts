import type { Place } from './cells.ts';
import { noiseVariance, type Repeatability, repeatVariance } from './repeatability.ts';

/** Mean over places of what theory has them spread by: the room's part grows with the overdispersion, the rest does not. */
export interface PlaceVariance {
  floor: number;
  /** The part of the floor that repeats at a place do not share. */
  own: number;
  /** Variance of a place's mean by what its repeats do not share. */
  repeats: number;
}

/** In one loop: a comparison asks for this a hundred thousand times, and lists of each part were seen to take most of its memory. */
export function placeVariance(places: readonly Place[], repeatability: Repeatability): PlaceVariance {
  let floor = 0;
  let own = 0;
  let repeats = 0;
  for (const place of places) {
    floor += place.floor;
    own += place.floor * repeatability.own(place.noise_share);
    repeats += noiseVariance(place) + repeatVariance(place, repeatability);
  }
  const count = places.length;
  return { floor: floor / count, own: own / count, repeats: repeats / count };
}

/**
 * The part of a reading's spread that repeats at its place share. A reading spreads by the squared overdispersion times its floor
 * in all, of which the noise of the recording and the clap are not the room's.
 */
export function roomPart({ floor, own }: PlaceVariance, squared_overdispersion: number): number {
  return squared_overdispersion * floor - own;
}

/** The room's part of the variance of the difference between two stages at a place; of their sum, with the correlation's sign turned. */
export function roomOfPair(a: PlaceVariance, b: PlaceVariance, squared: number, correlation: number): number {
  const first = roomPart(a, squared);
  const second = roomPart(b, squared);
  return first + second - 2 * correlation * Math.sqrt(first * second);
}

/** What theory says of a mean square of places' means about their mean. */
export interface SpreadTheory {
  first: PlaceVariance;
  /** Where the means are differences of two stages, or sums: the other stage. */
  second: PlaceVariance | null;
  /** 1: sums, -1: differences. */
  sign: -1 | 1;
}

/** A mean square of places' means about their mean, with the theory of it. */
export interface SpreadSeen extends SpreadTheory {
  mean_square: number;
  dof: number;
}

/** The mean square to be expected for an overdispersion and a correlation. Plain data and one function: a closure each took twice as long. */
export function expectedSquare(
  { first, second, sign }: SpreadTheory,
  squared_overdispersion: number,
  correlation: number,
): number {
  if (second === null) return roomPart(first, squared_overdispersion) + first.repeats;
  return roomOfPair(first, second, squared_overdispersion, -(sign * correlation)) + first.repeats + second.repeats;
}
