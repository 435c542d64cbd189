import { DECAY_CONSTANT } from '../room/absorption.ts';
import type { BandDistance } from '../room/target-distance.ts';
import type { StartBand } from './start.ts';

/** Less mean absorption than this is no gain worth naming, square metres (our choice). */
const LEAST_GAIN_M2 = 0.1;

/** Under this share of useful absorption an option mostly deadens octaves that lack nothing (our choice). */
const LEAST_USEFUL_SHARE = 0.5;

/**
 * Missing absorption in square metres that a change of decay time makes up in one octave with a target; beyond the target nothing more
 * is counted, and nothing where it has been reached. 55.3 V / c (1/T - 1/T_now), T held at the target.
 */
function closed_m2(distance: BandDistance, time_s: number): number {
  const { now_s, target_s, missing_m2 } = distance;
  if (now_s <= target_s || time_s >= now_s) return 0;
  const reached_s = Math.max(time_s, target_s);
  return (missing_m2 * (1 / reached_s - 1 / now_s)) / (1 / target_s - 1 / now_s);
}

/** The same for all that the change of decay time stands for, useful or not. */
function added_m2({ room, now }: StartBand, time_s: number): number {
  return ((DECAY_CONSTANT * room.volume_m3) / room.speed_m_s) * Math.max(0, 1 / time_s - 1 / now.time_s);
}

/** What a set of predicted times is worth. */
export interface Worth {
  /** Missing absorption made up, mean over the octaves that are too long, square metres; null where none is. */
  closes_m2: number | null;
  useful_share: number | null;
  /** Whether it is enough to speak of, and mostly goes where it is missing. */
  gains: boolean;
  focused: boolean;
}

/** Weighs predicted times, one for each band of `bands`, against the targets. Bands without a target do not count. */
export function worthOf(bands: readonly StartBand[], times_s: readonly number[]): Worth {
  let wanted = 0;
  let closed = 0;
  let useful = 0;
  let added = 0;
  bands.forEach((band, index) => {
    if (band.distance === null) return;
    const made_m2 = closed_m2(band.distance, times_s[index]!);
    useful += made_m2;
    added += added_m2(band, times_s[index]!);
    if (band.distance.state !== 'too-long') return;
    wanted++;
    closed += made_m2;
  });
  const closes_m2 = wanted === 0 ? null : closed / wanted;
  const useful_share = added > 0 ? Math.min(1, useful / added) : null;
  return {
    closes_m2,
    useful_share,
    gains: closes_m2 !== null && closes_m2 >= LEAST_GAIN_M2,
    focused: useful_share !== null && useful_share >= LEAST_USEFUL_SHARE,
  };
}
