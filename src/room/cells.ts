import { type BandDecay, energyUntil } from './band-decay.ts';

/** A decay's mean power in cells of time. Arrays of one length. */
export interface Cells {
  /** Middle of the cell, seconds after time zero. */
  time_s: Float64Array;
  width_s: Float64Array;
  /** Mean power over the cell. */
  power: Float64Array;
}

/** Cells get as wide as the decay falls by so much: wider ones would blur the slope, narrower ones only cost time. */
const FALL_IN_CELL_DB = 1;
/** Number of cells that the noise past the decay is gathered into. */
const NOISE_CELLS = 16;

/** Each cell past the crossing is wider than the one before by this, where a late slope is looked for in the noise. */
const GROWTH = 1.15;

interface CutOptions {
  start_s: number;
  crossing_s: number;
  end_s: number;
  bandwidth_hz: number;
  slope_db_s: number;
  /** `even`: the noise in a few wide cells; `growing`: from the width of the decay's cells on, wider and wider. */
  noise?: 'even' | 'growing';
}

/**
 * Cells of a decay from `start_s` to `end_s`: about 1/bandwidth wide, or as wide as the level falls by one decibel where
 * that is longer; the noise past `crossing_s` in a few wide ones, or in growing ones, which keep the shape of a slope that
 * goes on there.
 */
export function cutCells(decay: BandDecay, options: CutOptions): Cells {
  const { start_s, end_s, bandwidth_hz } = options;
  const crossing_s = Math.min(Math.max(options.crossing_s, start_s), end_s);
  const width_s = Math.max(1 / bandwidth_hz, FALL_IN_CELL_DB / -options.slope_db_s);
  const decaying = Math.max(1, Math.round((crossing_s - start_s) / width_s));
  const rest_s = end_s - crossing_s;
  const sharesOf = options.noise === 'growing' ? growingShares : evenShares;
  const shares = rest_s > width_s ? sharesOf(rest_s / width_s) : [];
  const count = decaying + shares.length;
  const cells = {
    time_s: new Float64Array(count),
    width_s: new Float64Array(count),
    power: new Float64Array(count),
  };
  let from = start_s;
  let before = energyUntil(decay, from);
  for (let i = 0; i < count; i++) {
    const share = shares[i - decaying];
    const to =
      share === undefined ? start_s + ((crossing_s - start_s) * (i + 1)) / decaying : crossing_s + rest_s * share;
    const after = energyUntil(decay, to);
    cells.time_s[i] = (from + to) / 2;
    cells.width_s[i] = to - from;
    cells.power[i] = to > from ? (after - before) / (to - from) : 0;
    before = after;
    from = to;
  }
  return cells;
}

/** Ends of equal cells that fill a span, as shares of it. `widths`: the span as a multiple of the least width. */
function evenShares(widths: number): number[] {
  const count = Math.max(1, Math.min(NOISE_CELLS, Math.floor(widths)));
  return Array.from({ length: count }, (_, i) => (i + 1) / count);
}

/** The same of cells that grow from the least width on. */
function growingShares(widths: number): number[] {
  const count = Math.max(1, Math.floor(Math.log1p(widths * (GROWTH - 1)) / Math.log(GROWTH)));
  const whole = GROWTH ** count - 1;
  return Array.from({ length: count }, (_, i) => (GROWTH ** (i + 1) - 1) / whole);
}
