import type { Cell, Place } from '../../src/statistics/cells.ts';
import type { Repeatability } from '../../src/statistics/repeatability.ts';

/** Nothing was repeated, so nothing is known of repeats. */
export const NOT_REPEATED: Repeatability = { own: (noise_share) => noise_share, excess: 0, dof: 0 };

/** One response at place A, its theoretical variance 0.01 and none of it noise, unless told otherwise. */
export function placeOf(given: Partial<Place> = {}): Place {
  return { position: 'A', responses: 1, mean: 0.5, work_mean: 0, floor: 0.01, noise_share: 0, within: 0, ...given };
}

/** The cell of these places at 500 Hz, with all responses used. */
export function cellOf(places: readonly Place[], given: Partial<Cell> = {}): Cell {
  const responses = places.reduce((sum, place) => sum + place.responses, 0);
  return {
    stage: 'before',
    quantity: 'tfull_s',
    width: 'octave',
    centre_hz: 500,
    places: [...places],
    looked_at: responses,
    responses,
    stage_positions: places.map((place) => place.position),
    refusals: new Map(),
    flags: new Map(),
    two_slopes: 0,
    ...given,
  };
}
