import type { FirstReflection } from '../room/image-sources.ts';
import type { Placement, PlacementSpot } from './advice.ts';

/** A spot that asks for something to be done, with the face it likely lies on. */
export type LoudSpot = PlacementSpot & { likely: FirstReflection };

/** The spots of one position that ask for something to be done: for each face the loudest reflection of it. */
export function loudSpots(spots: readonly PlacementSpot[]): LoudSpot[] {
  const loud = spots.filter((spot): spot is LoudSpot => spot.likely !== null && spot.action !== 'none');
  const louder = (a: LoudSpot, b: LoudSpot) => a.matched.measured.level_db > b.matched.measured.level_db;
  return loud.filter((spot) => !loud.some((other) => other.likely.face === spot.likely.face && louder(other, spot)));
}

/** The spots of all positions whose purpose asks for them, counted from 1 in the order of a report: the plan and the table share the number. */
export function numberedSpots(placement: readonly Placement[]): { number: number; position: string; spot: LoudSpot }[] {
  return placement
    .filter(({ asked }) => asked)
    .flatMap(({ position, spots }) => loudSpots(spots).map((spot) => ({ position, spot })))
    .map((entry, index) => ({ number: index + 1, ...entry }));
}
