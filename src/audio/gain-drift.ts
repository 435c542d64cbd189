import { type LevelTrace, meanLevel_db } from './level-trace.ts';

export interface GainDrift {
  rise_db: number;
  /** Times after the event between which the level rises. */
  from_s: number;
  to_s: number;
}

const WINDOW = 50;
const LEAST_WINDOWS = 6;
const LONGEST_FRAMES = 1500;
/** A rise from one window to the next by more than this is another sound, not a gain that is turned up. */
const SUDDEN_DB = 5;
/** Rise that several events must share, or that one must show alone. */
const SHARED = { rise_db: 2.5, correlation: 0.75, share: 0.6 };
const ALONE = { rise_db: 5, correlation: 0.9 };
/**
 * A small rise counts where three events in four share it and it slows down, as a gain that recovers does: its middle third lies
 * over the mean of the outer ones. Somebody who stirs before the next clap makes one that does not.
 */
const SLIGHT = { rise_db: 1, correlation: 0.8, share: 0.75, least: 3, bulge: 0 };

/**
 * Whether a recorder's automatic gain or a limiter works on a take: after its decay has come down, the noise climbs
 * steadily instead of staying level, and does so after most of the events. Common practice, no source.
 *
 * @param trace level of the signal
 * @param stretches for each event the frame of the direct sound, the frame at which the decay has come down, and the end
 *   of the quiet after it
 * @returns the median climb, null where there is none or the quiet stretches are too short to tell
 */
export function gainDrift(
  trace: LevelTrace,
  stretches: { start: number; from: number; to: number }[],
): GainDrift | null {
  const climbs = stretches.flatMap((stretch) => climbOf(trace, stretch) ?? []);
  if (climbs.length === 0) return null;
  const over = (bounds: { rise_db: number; correlation: number }) =>
    climbs.filter((climb) => climb.rise_db >= bounds.rise_db && climb.correlation >= bounds.correlation);
  if (climbs.length === 1) return middleOf(over(ALONE));
  const risen = over(SHARED);
  if (risen.length >= 2 && risen.length >= SHARED.share * climbs.length) return middleOf(risen);
  const slight = over(SLIGHT).filter(({ bulge }) => bulge >= SLIGHT.bulge);
  return slight.length >= SLIGHT.least && slight.length >= SLIGHT.share * climbs.length ? middleOf(slight) : null;
}

function middleOf(climbs: Climb[]): GainDrift | null {
  const sorted = [...climbs].sort((a, b) => a.rise_db - b.rise_db);
  return sorted[Math.floor(sorted.length / 2)] ?? null;
}

interface Climb extends GainDrift {
  correlation: number;
  /** Level of the middle third over the mean of the outer ones, as a share of the rise. */
  bulge: number;
}

function climbOf(trace: LevelTrace, { start, from, to }: { start: number; from: number; to: number }): Climb | null {
  const levels: number[] = [];
  for (let frame = from; frame + WINDOW <= Math.min(to, from + LONGEST_FRAMES); frame += WINDOW) {
    const level = meanLevel_db(trace, frame, frame + WINDOW);
    if (levels.length > 0 && level > levels.at(-1)! + SUDDEN_DB) break;
    levels.push(level);
  }
  if (levels.length < LEAST_WINDOWS) return null;
  // The climb begins at the lowest level of the first half: before it the last of the decay may still fall.
  const lowest = levels.indexOf(Math.min(...levels.slice(0, Math.ceil(levels.length / 2))));
  const climb = levels.slice(lowest);
  if (climb.length < LEAST_WINDOWS / 2) return null;
  const third = Math.ceil(climb.length / 3);
  const last_db = meanOf(climb.slice(-third));
  const rise_db = last_db - meanOf(climb.slice(0, 2));
  const at_s = (window: number) => (from - start + window * WINDOW) * trace.frame_s;
  const outer_db = (meanOf(climb.slice(0, third)) + last_db) / 2;
  const bulge = (meanOf(climb.slice(third, -third)) - outer_db) / rise_db;
  return { rise_db, bulge, correlation: correlationWithTime(climb), from_s: at_s(lowest), to_s: at_s(levels.length) };
}

function meanOf(values: number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

function correlationWithTime(values: number[]): number {
  const middle = (values.length - 1) / 2;
  const mean = meanOf(values);
  let xx = 0;
  let xy = 0;
  let yy = 0;
  values.forEach((value, i) => {
    xx += (i - middle) ** 2;
    xy += (i - middle) * (value - mean);
    yy += (value - mean) ** 2;
  });
  return yy === 0 ? 0 : xy / Math.sqrt(xx * yy);
}
