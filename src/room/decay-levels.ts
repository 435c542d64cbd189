import type { Band } from '../signal/bands.ts';
import { powerToDb } from '../signal/decibels.ts';
import { type BandDecay, energyUntil, meanPower, usableEnd_s } from './band-decay.ts';

/** How the level of a band falls, cell by cell, from time zero to where it comes near the noise. */
export interface DecayLevels {
  centre_hz: number;
  cell_s: number;
  /** Level of each cell, noise taken off; dB, any reference. */
  level_db: Float64Array;
}

/** Cells of this length, or of 1.5/bandwidth where that is longer: neighbours then hardly depend on each other. */
const CELL_S = 0.005;
const CELL_BANDWIDTHS = 1.5;
const CELLS_MOST = 300;
/** The noise is the mean of so much of the samples from their end back. */
const NOISE_SHARE = 0.15;
/** Cells end where four of them together come so near to the noise. */
const CLEAR_OF_NOISE_DB = 10;
const TOGETHER = 4;
/** No cell counts as less than this share of what was measured in it. */
const LEAST_SHARE = 0.1;

/** Levels of a band's decay in cells of some milliseconds, as far as they stand 10 dB clear of the noise. */
export function decayLevels(decay: BandDecay, { centre_hz, bandwidth_hz }: Band): DecayLevels {
  const end_s = usableEnd_s(decay);
  const cell_s = Math.max(CELL_S, CELL_BANDWIDTHS / bandwidth_hz);
  const count = Math.min(CELLS_MOST, Math.floor(end_s / cell_s));
  const noise = meanPower(decay, end_s - NOISE_SHARE * end_s, end_s) * cell_s;
  const energy = new Float64Array(count);
  let before = energyUntil(decay, 0);
  for (let i = 0; i < count; i++) {
    const until = energyUntil(decay, (i + 1) * cell_s);
    energy[i] = until - before;
    before = until;
  }
  const clear = TOGETHER * noise * 10 ** (CLEAR_OF_NOISE_DB / 10);
  let stop = 0;
  while (stop + TOGETHER <= count && sumOf(energy, stop) > clear) stop++;
  const level_db = energy.slice(0, stop).map((value) => powerToDb(Math.max(value - noise, LEAST_SHARE * value)));
  return { centre_hz, cell_s, level_db };
}

function sumOf(energy: Float64Array, from: number): number {
  let sum = 0;
  for (let i = from; i < from + TOGETHER; i++) sum += energy[i]!;
  return sum;
}
