import { cellModel } from './cell-model.ts';

const FROM_DB = 15;
const TO_DB = 90;
const STEP_DB = 5;
/** The fit starts at 20 ms: about here in a decay of 0.3 s. The share hardly depends on it. */
const START_DB = 4;

const TABLE = Array.from(
  { length: (TO_DB - FROM_DB) / STEP_DB + 1 },
  (_, i) => cellModel({ range_db: FROM_DB + i * STEP_DB, start_db: START_DB }).noise_share,
);

/**
 * How much of the spread of a full-range decay time comes from the noise of the one recording, and so averages down over repeats
 * at a place, as a share from 0 to 1 of its Fisher variance. The rest is the fine structure of the room's decay at that place,
 * which every repeat shares. Interpolated from the cell model.
 *
 * @param range_db level of the decay at time zero over the noise; 15 to 90 dB are told apart.
 */
export function noiseShare(range_db: number): number {
  const place = (Math.min(Math.max(range_db, FROM_DB), TO_DB) - FROM_DB) / STEP_DB;
  const below = Math.min(Math.floor(place), TABLE.length - 2);
  return TABLE[below]! + (TABLE[below + 1]! - TABLE[below]!) * (place - below);
}
