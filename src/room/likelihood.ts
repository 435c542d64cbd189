import { Workspace } from '../signal/workspace.ts';
import type { Cells } from './cells.ts';
import type { DecayModel } from './decay-model.ts';
import { type Evaluation, Evaluator } from './likelihood-evaluator.ts';

export interface DecayFit {
  model: DecayModel;
  /** Logarithm of the likelihood, up to a constant that depends on the data and the bandwidth alone. */
  log_likelihood: number;
  /** Covariance of the logarithms of (amplitude, rate) for each slope, then of the noise: inverse Fisher information, row by row. */
  covariance: Float64Array;
  /** Number of parameters. */
  size: number;
  converged: boolean;
}

const ROUNDS = 40;
const TOLERANCE = 1e-6;
/** Steps go on until the next promises less than this: then a thousandth of a standard error is left. */
const GAIN_LEFT = 1e-6;
/** Where no step helps any more, or the rounds are over, so little left counts as settled: 0.03 standard errors. */
const GAIN_STUCK = 1e-3;
/** Longest step of a logarithmic parameter. */
const STEP_MOST = 2;
const HALVINGS = 12;
/** Where few cells make full steps swing to and fro, half steps settle. */
const DAMPED_FROM = 12;

/** Parameters as logarithms, so that all stay positive. */
function pack({ slopes, noise }: DecayModel): Float64Array {
  const values = slopes.flatMap(({ amplitude, rate }) => [Math.log(amplitude), Math.log(rate)]);
  return Float64Array.from(noise > 0 ? [...values, Math.log(noise)] : values);
}

function unpack(theta: Float64Array, slopeCount: number): DecayModel {
  const slopes = Array.from({ length: slopeCount }, (_, j) => ({
    amplitude: Math.exp(theta[2 * j]!),
    rate: Math.exp(theta[2 * j + 1]!),
  }));
  return { slopes, noise: theta.length > 2 * slopeCount ? Math.exp(theta[2 * slopeCount]!) : 0 };
}

/** Inversions come by the dozen for each fit, and memory for each was seen to cost more than they do. */
const inverseMemory = new Workspace();

/** Inverse of a small symmetric positive matrix by Gauss and Jordan, written into `out`; null where it is singular. */
export function inverse(matrix: Float64Array, size: number, out = new Float64Array(size * size)): Float64Array | null {
  const work = inverseMemory.take(size * size);
  work.set(matrix);
  out.fill(0);
  for (let i = 0; i < size; i++) out[i * size + i] = 1;
  for (let column = 0; column < size; column++) {
    let pivot = column;
    for (let r = column + 1; r < size; r++) {
      if (Math.abs(work[r * size + column]!) > Math.abs(work[pivot * size + column]!)) pivot = r;
    }
    const value = work[pivot * size + column]!;
    if (!(Math.abs(value) > 1e-300)) return null;
    swapAndDivide(work, { size, pivot, column, value });
    swapAndDivide(out, { size, pivot, column, value });
    for (let r = 0; r < size; r++) {
      const factor = r === column ? 0 : work[r * size + column]!;
      if (factor === 0) continue;
      for (let c = 0; c < size; c++) {
        work[r * size + c] = work[r * size + c]! - factor * work[column * size + c]!;
        out[r * size + c] = out[r * size + c]! - factor * out[column * size + c]!;
      }
    }
  }
  return out;
}

/** Brings the row of the pivot into its place, over its own value. */
function swapAndDivide(
  inPlace: Float64Array,
  { size, pivot, column, value }: { size: number; pivot: number; column: number; value: number },
): void {
  for (let c = 0; c < size; c++) {
    const swapped = inPlace[pivot * size + c]!;
    inPlace[pivot * size + c] = inPlace[column * size + c]!;
    inPlace[column * size + c] = swapped / value;
  }
}

/**
 * Maximum likelihood fit of a decay to the energies of its cells. Gaussian noise in a band, under an envelope, has in a cell of
 * time an energy that is gamma distributed about its mean, with shape bandwidth times width; the bandwidth is the statistical
 * one of the filter, so that neighbouring cells, which the filter makes alike, are not counted twice. Solved by Fisher scoring
 * with halved steps. Cells may be narrower than 1/bandwidth: the equations then tend to those in continuous time.
 *
 * Source: the gamma model from the chi-square law of band-limited noise energy (Bendat and Piersol, Random Data, chapter 8);
 * scoring: McCullagh and Nelder, Generalized Linear Models, 2.5 (both from memory).
 *
 * Returns null where the information is singular at the start. `converged` is false where the steps did not settle.
 */
export function fitDecay(cells: Cells, start: DecayModel, bandwidth_hz: number): DecayFit | null {
  const slopeCount = start.slopes.length;
  let theta: Float64Array = pack(start);
  let tried: Float64Array = theta.slice();
  const size = theta.length;
  const step = new Float64Array(size);
  const evaluator = new Evaluator(cells, { slopeCount, size, bandwidth_hz });
  let now = evaluator.at(theta);
  const inverted = new Float64Array(size * size);
  let covariance = inverse(now.information, size, inverted);
  let converged = false;
  let gain = Number.POSITIVE_INFINITY;
  for (let round = 0; round < ROUNDS && covariance && !converged; round++) {
    gain = scoringStep(step, covariance, now.score);
    const most = round < DAMPED_FROM ? 1 : 0.5;
    evaluator.hold();
    const next = climb({ most, evaluator, theta, tried, step, from: now.log_likelihood });
    if (!next) break;
    converged = gain < GAIN_LEFT && next.log_likelihood - now.log_likelihood < TOLERANCE;
    [theta, tried] = [tried, theta];
    now = next;
    covariance = inverse(now.information, size, inverted);
  }
  if (!covariance) return null;
  converged ||= gain < GAIN_STUCK;
  return { model: unpack(theta, slopeCount), log_likelihood: now.log_likelihood, covariance, size, converged };
}

/**
 * The fit with steady noise, or without where the likelihood does not settle on any: the decay then fills the samples to their
 * end. Null where neither settles.
 */
export function fitWithOrWithoutNoise(cells: Cells, start: DecayModel, bandwidth_hz: number): DecayFit | null {
  const noisy = start.noise > 0 ? fitDecay(cells, start, bandwidth_hz) : null;
  if (noisy?.converged) return noisy;
  const bare = fitDecay(cells, { ...start, noise: 0 }, bandwidth_hz);
  return bare?.converged ? bare : null;
}

/** Fills `out` with covariance times score; returns twice the gain in log-likelihood that the step promises. */
function scoringStep(out: Float64Array, covariance: Float64Array, score: Float64Array): number {
  const size = score.length;
  let gain = 0;
  for (let a = 0; a < size; a++) {
    let sum = 0;
    for (let b = 0; b < size; b++) sum += covariance[a * size + b]! * score[b]!;
    out[a] = sum;
    gain += sum * score[a]!;
  }
  return gain;
}

/** The step, shortened until the likelihood does not fall, which leads to `tried`; null where no length helps. */
function climb(at: {
  /** Longest share of the step. */
  most: number;
  evaluator: Evaluator;
  theta: Float64Array;
  tried: Float64Array;
  step: Float64Array;
  from: number;
}): Evaluation | null {
  const { theta, tried, step } = at;
  let longest = 0;
  for (let a = 0; a < step.length; a++) longest = Math.max(longest, Math.abs(step[a]!));
  let share = Math.min(at.most, STEP_MOST / longest);
  for (let halving = 0; halving < HALVINGS; halving++, share /= 2) {
    for (let a = 0; a < step.length; a++) tried[a] = theta[a]! + share * step[a]!;
    const evaluation = at.evaluator.at(tried);
    if (evaluation.log_likelihood >= at.from) return evaluation;
  }
  return null;
}

/**
 * What one more term would bring to a one-slope fit: Rao's score test at amplitude zero.
 *
 * @param options.added the term's mean power in each cell, per unit of its amplitude
 * @returns `score` and the information `own` of the term, and `left`, what of it the parameters already fitted do not take up
 * Source: Rao, Proc. Camb. Phil. Soc. 44 (1948) 50-57 (from memory).
 */
export function scoreOfAddedTerm(
  cells: Cells,
  fit: DecayFit,
  { bandwidth_hz, added: addedOf }: { bandwidth_hz: number; added: Float64Array },
): { score: number; own: number; left: number } {
  const { slopes, noise } = fit.model;
  const only = slopes[0]!;
  const size = fit.size;
  const cross = new Float64Array(size);
  let score = 0;
  let own = 0;
  for (let i = 0; i < cells.power.length; i++) {
    const t = cells.time_s[i]!;
    const power = only.amplitude * Math.exp(-only.rate * t);
    const mean = power + noise;
    const added = addedOf[i]!;
    const weight = (bandwidth_hz * cells.width_s[i]!) / (mean * mean);
    score += weight * (cells.power[i]! - mean) * added;
    own += weight * added * added;
    cross[0] = cross[0]! + weight * added * power;
    cross[1] = cross[1]! - weight * added * power * only.rate * t;
    if (size > 2) cross[2] = cross[2]! + weight * added * noise;
  }
  let left = own;
  for (let a = 0; a < size; a++) {
    for (let b = 0; b < size; b++) left -= cross[a]! * fit.covariance[a * size + b]! * cross[b]!;
  }
  return { score, own, left };
}

const addedMemory = new Workspace();

/**
 * What a second exponential of a given rate would bring to a one-slope fit.
 *
 * Returns the statistic (chi-square with 1 degree of freedom where there is none) and the amplitude it points to, or null
 * where that would be negative.
 */
export function scoreOfSecondSlope(
  cells: Cells,
  fit: DecayFit,
  options: { rate: number; bandwidth_hz: number },
): { statistic: number; amplitude: number } | null {
  const { rate, bandwidth_hz } = options;
  const added = addedMemory.take(cells.time_s.length);
  for (let i = 0; i < added.length; i++) added[i] = Math.exp(-rate * cells.time_s[i]!);
  const { score, own, left } = scoreOfAddedTerm(cells, fit, { bandwidth_hz, added });
  if (!(score > 0 && left > 1e-9 * own)) return null;
  return { statistic: (score * score) / left, amplitude: score / left };
}
