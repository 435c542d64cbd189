import type { Cells } from './cells.ts';
import type { DecayModel } from './decay-model.ts';

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
const TOLERANCE = 1e-7;

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

/** Mean of exp(-rate t) over a cell of width w around t, relative to its value at t: sinh(x)/x with x = rate w/2. */
function spread(x: number): number {
  return x < 1e-4 ? 1 : Math.sinh(x) / x;
}

/** Sum over cells of the gamma log-likelihood with shape proportional to the width: -shape (ln mean + power/mean). */
export function logLikelihood(cells: Cells, model: DecayModel, bandwidth_hz: number): number {
  let sum = 0;
  for (let i = 0; i < cells.power.length; i++) {
    const width_s = cells.width_s[i]!;
    let mean = model.noise;
    for (const { amplitude, rate } of model.slopes) {
      mean += amplitude * Math.exp(-rate * cells.time_s[i]!) * spread((rate * width_s) / 2);
    }
    sum -= bandwidth_hz * width_s * (Math.log(mean) + cells.power[i]! / mean);
  }
  return sum;
}

/** Score and Fisher information of the logarithmic parameters. */
function derivatives(cells: Cells, theta: Float64Array, slopeCount: number, bandwidth_hz: number) {
  const size = theta.length;
  const score = new Float64Array(size);
  const information = new Float64Array(size * size);
  const row = new Float64Array(size);
  const model = unpack(theta, slopeCount);
  for (let i = 0; i < cells.power.length; i++) {
    const t = cells.time_s[i]!;
    const width_s = cells.width_s[i]!;
    let mean = model.noise;
    for (let j = 0; j < slopeCount; j++) {
      const { amplitude, rate } = model.slopes[j]!;
      const half = (rate * width_s) / 2;
      const factor = spread(half);
      const power = amplitude * Math.exp(-rate * t) * factor;
      mean += power;
      row[2 * j] = power;
      row[2 * j + 1] = power * (-rate * t + (half < 1e-4 ? 0 : half / Math.tanh(half) - 1));
    }
    if (size > 2 * slopeCount) row[2 * slopeCount] = model.noise;
    const shape = bandwidth_hz * width_s;
    const residual = (shape * (cells.power[i]! - mean)) / (mean * mean);
    const weight = shape / (mean * mean);
    for (let a = 0; a < size; a++) {
      score[a] = score[a]! + residual * row[a]!;
      for (let b = 0; b <= a; b++) information[a * size + b] = information[a * size + b]! + weight * row[a]! * row[b]!;
    }
  }
  for (let a = 0; a < size; a++) for (let b = 0; b < a; b++) information[b * size + a] = information[a * size + b]!;
  return { score, information };
}

/** Inverse of a small symmetric positive matrix by Gauss and Jordan; null where it is singular. */
export function inverse(matrix: Float64Array, size: number): Float64Array | null {
  const work = Float64Array.from(matrix);
  const out = new Float64Array(size * size);
  for (let i = 0; i < size; i++) out[i * size + i] = 1;
  for (let column = 0; column < size; column++) {
    let pivot = column;
    for (let r = column + 1; r < size; r++) {
      if (Math.abs(work[r * size + column]!) > Math.abs(work[pivot * size + column]!)) pivot = r;
    }
    const value = work[pivot * size + column]!;
    if (!(Math.abs(value) > 1e-300)) return null;
    for (let c = 0; c < size; c++) {
      for (const m of [work, out]) {
        const swapped = m[pivot * size + c]!;
        m[pivot * size + c] = m[column * size + c]!;
        m[column * size + c] = swapped / value;
      }
    }
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
  let theta = pack(start);
  const size = theta.length;
  let value = logLikelihood(cells, start, bandwidth_hz);
  let covariance: Float64Array | null = null;
  let converged = false;
  for (let round = 0; round < ROUNDS && !converged; round++) {
    const { score, information } = derivatives(cells, theta, slopeCount, bandwidth_hz);
    covariance = inverse(information, size);
    if (!covariance) return null;
    const step = new Float64Array(size);
    let gain = 0;
    for (let a = 0; a < size; a++) {
      for (let b = 0; b < size; b++) step[a] = step[a]! + covariance[a * size + b]! * score[b]!;
      gain += step[a]! * score[a]!;
    }
    const longest = step.reduce((most, part) => Math.max(most, Math.abs(part)), 0);
    let share = Math.min(1, 2 / longest);
    let moved = false;
    for (let halving = 0; halving < 12 && !moved; halving++, share /= 2) {
      const next = theta.map((part, a) => part + share * step[a]!);
      const nextValue = logLikelihood(cells, unpack(next, slopeCount), bandwidth_hz);
      if (nextValue >= value) {
        converged = nextValue - value < TOLERANCE && gain < 1e-4;
        theta = next;
        value = nextValue;
        moved = true;
      }
    }
    if (!moved) converged = gain < 1e-4;
    if (!moved) break;
  }
  if (!covariance) return null;
  return { model: unpack(theta, slopeCount), log_likelihood: value, covariance, size, converged };
}
