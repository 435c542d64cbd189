import type { DecayCurve } from '../room/reading.ts';

/** Curves are drawn no further down than this, in dB: below lies nothing that a recording of a room holds. */
export const FLOOR_DB = -65;
/** Points of a curve in a small panel: more cannot be told apart there. */
const POINTS = 44;

/** A point of a drawn curve. */
export interface TracePoint {
  time_s: number;
  level_db: number;
}

/** The points of a decay curve from time zero to where its integration was cut, thinned evenly for drawing. */
export function curvePoints(curve: DecayCurve): TracePoint[] {
  const inside = Array.from(curve.level_db, (level_db, index) => ({ time_s: index * curve.step_s, level_db })).filter(
    ({ time_s, level_db }) => time_s <= curve.truncation_s && level_db >= FLOOR_DB && Number.isFinite(level_db),
  );
  const stride = Math.max(1, Math.ceil(inside.length / POINTS));
  return inside.filter((_, index) => index % stride === 0 || index === inside.length - 1);
}

/**
 * An energy-time curve against the time after the direct sound, in ms: of every `cell` steps the highest, so that no peak is
 * lost in the thinning. The direct sound is the highest point of the first 5 ms.
 */
export function earlyPoints(
  early: { step_s: number; level_db: ArrayLike<number> },
  cell = 2,
): { time_ms: number; level_db: number }[] {
  const all = Array.from(early.level_db);
  const start = all.slice(0, Math.round(0.005 / early.step_s));
  const direct = start.indexOf(Math.max(...start));
  const points: { time_ms: number; level_db: number }[] = [];
  for (let from = direct % cell; from < all.length; from += cell) {
    const levels = all.slice(from, from + cell);
    const highest = Math.max(...levels);
    points.push({ time_ms: 1000 * early.step_s * (from + levels.indexOf(highest) - direct), level_db: highest });
  }
  return points.filter((point) => Number.isFinite(point.level_db));
}
