import { type LevelTrace, meanLevel_db } from './level-trace.ts';

const WINDOW = 20;
/** The pace of a decay is taken from its first fall by so much. */
const EARLY_FALL_DB = 12;
/** In a time in which the level fell by that early, it must later fall by more than this. */
const LEAST_FALL_DB = 1.8;
/** Nearer to the noise than this, noise itself halts the fall. */
const NOISE_REACH_DB = 12;
const SHORTEST_SPAN = 50;

/**
 * Where a decay stops falling well above the noise, because another sound has set in under it without rising above it.
 * A room may fall more slowly late than early, but by less than this finds: some seven times.
 *
 * @param from frame just after the direct sound
 * @param to frame in which the decay has come down to the noise
 * @returns the frame in which the fall halts, null where it does not
 */
export function haltInDecay(
  trace: LevelTrace,
  { from, to, floor_db }: { from: number; to: number; floor_db: number },
): number | null {
  const level = (frame: number) => meanLevel_db(trace, frame, frame + WINDOW);
  const top = level(from);
  let fallen = from;
  while (fallen < to && level(fallen) > top - EARLY_FALL_DB) fallen++;
  const span = Math.max(SHORTEST_SPAN, fallen - from);
  for (let frame = fallen; frame + span + WINDOW <= to; frame += 5) {
    const later = level(frame + span);
    if (later < floor_db + NOISE_REACH_DB) return null;
    if (level(frame) - later < LEAST_FALL_DB) return frame;
  }
  return null;
}
