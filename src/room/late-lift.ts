import { median } from '../signal/median.ts';
import type { DecayLevels } from './decay-levels.ts';

/** Another sound in a decay, seen beside other decays of the same place. */
export interface LateLift {
  /** When it sets in, seconds after time zero. */
  after_s: number;
  /** By how much it lifts the decay from then on, over all bands. */
  lift_db: number;
}

/** The direct sound and its first reflections differ with how the source was held. */
const FROM_S = 0.03;
const STEP_S = 0.005;
const CELLS_LEAST = { shared: 6, before: 2, after: 3 };
const BANDS_LEAST = 2;
/** Two claps never agree more closely than so much, cell by cell, and band by band over many cells. */
const CELL_DEVIATION_LEAST_DB = 0.3;
const BAND_DEVIATION_DB = 0.3;
/** Standard deviation over the median size of the differences of neighbours, for normal deviates: 1/(0.6745 sqrt 2). */
const DEVIATION_OVER_DIFFERENCE = 1.05;
/** So many standard errors are beyond chance, whatever moment and however many claps are looked at. */
const SIGMAS_LEAST = 5;
/** Smaller lifts come from how a clap was held and turned; a sound that moves a decay time by more than a little lifts it more. */
const LIFT_LEAST_DB = 1.2;

/** One band's level over that of the other decays. */
interface Apart {
  cell_s: number;
  /** Sum of the differences before each cell; one more than there are cells. */
  summed: Float64Array;
  /** Variance of one cell. */
  variance: number;
  /** Sum of squares that a drift explains, over the variance of a cell. */
  by_drift: number;
}

/**
 * Whether another sound sets in during a decay: one that its siblings, claps of the same take, do not have. They share what the room
 * does, echoes, bends and all, so that their levels differ by a constant in each band. A sound that sets in lifts every band from that
 * moment on, and no step down follows. The step is sought over all moments; its mean over the bands, each weighted by what it can
 * tell, must be 5 standard errors and 1.2 dB, and explain more of the differences than a steady drift does. The scatter is taken from the decay itself.
 *
 * Own method; the weighted mean of independent estimates and its standard error: JCGM 100:2008, H.5 (from memory).
 *
 * @param own levels by octave band of the decay in question
 * @param others the same of its siblings, one or more
 * @returns null where nothing sets in, or where nothing can be told
 */
export function lateLift(own: readonly DecayLevels[], others: readonly (readonly DecayLevels[])[]): LateLift | null {
  if (others.length === 0) return null;
  const apart = own.flatMap((levels) => apartFrom(levels, others) ?? []);
  const longest_s = Math.max(0, ...apart.map(({ summed, cell_s }) => summed.length * cell_s));
  let best: (Step & { after_s: number }) | null = null;
  for (let after_s = FROM_S; after_s < longest_s; after_s += STEP_S) {
    const step = stepAt(apart, after_s);
    if (step !== null && step.sigmas > (best?.sigmas ?? 0)) best = { after_s, ...step };
  }
  if (best === null || best.sigmas < SIGMAS_LEAST || best.lift_db < LIFT_LEAST_DB) return null;
  return best.explained > best.by_drift ? { after_s: best.after_s, lift_db: best.lift_db } : null;
}

function apartFrom(own: DecayLevels, others: readonly (readonly DecayLevels[])[]): Apart | null {
  const beside = others.flatMap((levels) => levels.find(({ centre_hz }) => centre_hz === own.centre_hz) ?? []);
  const count = Math.min(own.level_db.length, ...beside.map(({ level_db }) => level_db.length));
  if (beside.length === 0 || count < CELLS_LEAST.shared) return null;
  const summed = new Float64Array(count + 1);
  const differences: number[] = [];
  const jumps: number[] = [];
  const levels: number[] = beside.map(() => 0);
  for (let i = 0; i < count; i++) {
    for (let k = 0; k < levels.length; k++) levels[k] = beside[k]!.level_db[i]!;
    const difference = own.level_db[i]! - median(levels);
    if (i > 0) jumps.push(Math.abs(difference - differences[i - 1]!));
    differences.push(difference);
    summed[i + 1] = summed[i]! + difference;
  }
  const deviation = Math.max(CELL_DEVIATION_LEAST_DB, DEVIATION_OVER_DIFFERENCE * median(jumps));
  const variance = deviation ** 2;
  const squares = (count * (count ** 2 - 1)) / 12;
  const slope = differences.reduce((sum, value, i) => sum + value * (i - (count - 1) / 2), 0) / squares;
  return { cell_s: own.cell_s, summed, variance, by_drift: (slope ** 2 * squares) / variance };
}

interface Step {
  lift_db: number;
  /** Height of the step in standard errors. */
  sigmas: number;
  /** Sum of squares that steps at this moment explain in the bands, and that drifts do, over the variance of a cell. */
  explained: number;
  by_drift: number;
}

/** The step at a moment, as the weighted mean over the bands; null where too few of them can tell. */
function stepAt(apart: readonly Apart[], after_s: number): Step | null {
  let [weighted, weight, bands, explained, by_drift] = [0, 0, 0, 0, 0];
  for (const band of apart) {
    const { summed, variance } = band;
    const before = Math.round(after_s / band.cell_s);
    const after = summed.length - 1 - before;
    if (before < CELLS_LEAST.before || after < CELLS_LEAST.after) continue;
    const step_db = (summed.at(-1)! - summed[before]!) / after - summed[before]! / before;
    const own_variance = variance * (1 / before + 1 / after);
    const share = 1 / (own_variance + BAND_DEVIATION_DB ** 2);
    weighted += share * step_db;
    weight += share;
    explained += step_db ** 2 / own_variance;
    by_drift += band.by_drift;
    bands++;
  }
  if (bands < BANDS_LEAST) return null;
  return { lift_db: weighted / weight, sigmas: weighted / Math.sqrt(weight), explained, by_drift };
}
