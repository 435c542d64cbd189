import { type BandDecay, meanPower } from './band-decay.ts';

/** A decay's mean power in cells of time. Arrays of one length. */
export interface Cells {
  /** Middle of the cell, seconds after time zero. */
  time_s: Float64Array;
  width_s: Float64Array;
  /** Mean power over the cell. */
  power: Float64Array;
}

/** Cells get as wide as the decay falls by so much: wider ones would blur the slope, narrower ones only cost time. */
const FALL_IN_CELL_DB = 0.5;
/** Number of cells that the noise past the decay is gathered into. */
const NOISE_CELLS = 16;

/**
 * Cells of a decay from `start_s` to `end_s`: about 1/bandwidth wide, or as wide as the level falls by half a decibel where
 * that is longer; the noise past `crossing_s` in a few wide ones.
 */
export function cutCells(
  decay: BandDecay,
  options: { start_s: number; crossing_s: number; end_s: number; bandwidth_hz: number; slope_db_s: number },
): Cells {
  const { start_s, end_s, bandwidth_hz } = options;
  const crossing_s = Math.min(Math.max(options.crossing_s, start_s), end_s);
  const width_s = Math.max(1 / bandwidth_hz, FALL_IN_CELL_DB / -options.slope_db_s);
  const decaying = Math.max(1, Math.round((crossing_s - start_s) / width_s));
  const rest_s = end_s - crossing_s;
  const noisy = rest_s > width_s ? Math.max(1, Math.min(NOISE_CELLS, Math.floor(rest_s / width_s))) : 0;
  const count = decaying + noisy;
  const cells = {
    time_s: new Float64Array(count),
    width_s: new Float64Array(count),
    power: new Float64Array(count),
  };
  const edge = (i: number) =>
    i <= decaying ? start_s + ((crossing_s - start_s) * i) / decaying : crossing_s + (rest_s * (i - decaying)) / noisy;
  for (let i = 0; i < count; i++) {
    const [from, to] = [edge(i), edge(i + 1)];
    cells.time_s[i] = (from + to) / 2;
    cells.width_s[i] = to - from;
    cells.power[i] = meanPower(decay, from, to);
  }
  return cells;
}
