import type { Cells } from './cells.ts';

/** Of a decay's cells, for some parameters. */
export interface Evaluation {
  log_likelihood: number;
  score: Float64Array;
  information: Float64Array;
}

/** Products of powers are kept within this range, and their logarithm is taken when they leave it: one for a dozen cells and more. */
const PRODUCT_LEAST = 1e-150;
const PRODUCT_MOST = 1e150;
/** A power beyond this has a logarithm to itself. */
const FACTOR_LEAST = 1e-100;
const FACTOR_MOST = 1e100;
/** A slope that falls by less over half a cell, in nepers, has its mean in the middle of it. */
const NARROW = 1e-4;

const PARAMETERS_MOST = 5;

/** What an evaluation keeps of each cell while it runs. */
interface Columns {
  mean: Float64Array;
  /** Inverse of the cell's standard deviation. */
  scale: Float64Array;
  /** Power less the mean, on that scale. */
  residual: Float64Array;
  /** Derivatives of the mean by the logarithms of the parameters. */
  derivatives: Float64Array[];
}

function columnsOf(count: number): Columns {
  const column = () => new Float64Array(count);
  const derivatives = Array.from({ length: PARAMETERS_MOST }, column);
  return { mean: column(), scale: column(), residual: column(), derivatives };
}

/** Evaluations never overlap, so that all fits share this, longer than most of them need. */
let shared = columnsOf(128);

/** Evaluations of one fit: they come by the dozen, and each asking for its own memory was seen to take half their time. */
export class Evaluator {
  readonly #cells: Cells;
  readonly #bandwidth_hz: number;
  readonly #slopeCount: number;
  readonly #columns: Columns;
  #spare: Evaluation;
  #held: Evaluation;

  /** One slope or two, with noise or without: `size` is the number of parameters. */
  constructor(cells: Cells, options: { slopeCount: number; size: number; bandwidth_hz: number }) {
    const { slopeCount, size, bandwidth_hz } = options;
    this.#cells = cells;
    this.#bandwidth_hz = bandwidth_hz;
    this.#slopeCount = slopeCount;
    if (shared.mean.length < cells.power.length) shared = columnsOf(2 * cells.power.length);
    this.#columns = shared;
    const empty = () => ({
      log_likelihood: 0,
      score: new Float64Array(size),
      information: new Float64Array(size * size),
    });
    this.#spare = empty();
    this.#held = empty();
  }

  /** Keeps the evaluation that was handed out last from being written over by the next ones. */
  hold(): void {
    [this.#spare, this.#held] = [this.#held, this.#spare];
  }

  /**
   * Gamma log-likelihood with shape proportional to the cell's width, -shape (ln mean + power/mean) summed, with its score and
   * Fisher information in the logarithmic parameters: sums of products of the derivatives of the mean, each relative to the standard
   * deviation in its cell. Cell by cell in one loop they were seen to take half as long again as one column after the other.
   *
   * Good until the next call, or, once held, until the next is held.
   */
  at(theta: Float64Array): Evaluation {
    const out = this.#spare;
    const { score, information } = out;
    const size = theta.length;
    const count = this.#cells.power.length;
    const { derivatives, residual, scale } = this.#columns;
    this.#columns.mean.fill(this.#noise(theta), 0, count);
    for (let j = 0; j < this.#slopeCount; j++) addSlope(this.#cells, theta, { j, columns: this.#columns });
    if (size > 2 * this.#slopeCount) derivatives[size - 1]!.fill(this.#noise(theta), 0, count);
    out.log_likelihood = compare(this.#cells, this.#bandwidth_hz, this.#columns);
    for (let a = 0; a < size; a++) {
      const one = derivatives[a]!;
      for (let i = 0; i < count; i++) one[i] = one[i]! * scale[i]!;
      score[a] = dot(one, residual, count);
      for (let b = 0; b <= a; b++) {
        const sum = dot(one, derivatives[b]!, count);
        information[a * size + b] = sum;
        information[b * size + a] = sum;
      }
    }
    return out;
  }

  /** Mean power of the noise; 0 where it is no parameter. */
  #noise(theta: Float64Array): number {
    return theta.length > 2 * this.#slopeCount ? Math.exp(theta[theta.length - 1]!) : 0;
  }
}

/**
 * Adds a slope's mean power in each cell to the mean, and gives the derivatives of that power by the logarithms of amplitude and rate.
 * Neighbouring cells of one width share their exponentials by a constant ratio, which saves most of the time; the mean of
 * exp(-rate t) over a cell of width w is its value in the middle times sinh(x)/x, x = rate w/2.
 */
function addSlope(
  { time_s, width_s }: Cells,
  theta: Float64Array,
  { j, columns: { mean, derivatives } }: { j: number; columns: Columns },
): void {
  const level = theta[2 * j]!;
  const rate = Math.exp(theta[2 * j + 1]!);
  const [byLevel, byRate] = [derivatives[2 * j]!, derivatives[2 * j + 1]!];
  let groupWidth = -1;
  let power = 0;
  let ratio = 0;
  let widening = 0;
  for (let i = 0; i < width_s.length; i++) {
    const width = width_s[i]!;
    const fall = rate * time_s[i]!;
    if (Math.abs(width - groupWidth) < 1e-9 * width) power *= ratio;
    else {
      groupWidth = width;
      const half = (rate * width) / 2;
      ratio = Math.exp(-2 * half);
      // sinh and the hyperbolic cotangent of x from exp(-2x) alone.
      const narrow = half < NARROW;
      power = Math.exp(narrow ? level - fall : level - fall + half) * (narrow ? 1 : (1 - ratio) / (2 * half));
      widening = narrow ? 0 : (half * (1 + ratio)) / (1 - ratio) - 1;
    }
    mean[i] = mean[i]! + power;
    byLevel[i] = power;
    byRate[i] = power * (widening - fall);
  }
}

/** The log-likelihood of the cells about their means; fills scale and residual. */
function compare(
  { width_s, power: powerOf }: Cells,
  bandwidth_hz: number,
  { mean: meanOf, scale, residual }: Columns,
): number {
  let log_likelihood = 0;
  let groupWidth = -1;
  let rootShape = 0;
  let logs = 0;
  let product = 1;
  let ratios = 0;
  for (let i = 0; i < width_s.length; i++) {
    const width = width_s[i]!;
    if (!(Math.abs(width - groupWidth) < 1e-9 * width)) {
      log_likelihood -= rootShape * rootShape * (logs + Math.log(product) + ratios);
      logs = 0;
      product = 1;
      ratios = 0;
      groupWidth = width;
      rootShape = Math.sqrt(bandwidth_hz * width);
    }
    const mean = meanOf[i]!;
    const power = powerOf[i]!;
    const inverse = 1 / mean;
    ratios += power * inverse;
    if (mean > FACTOR_LEAST && mean < FACTOR_MOST) product *= mean;
    else logs += Math.log(mean);
    if (!(product > PRODUCT_LEAST && product < PRODUCT_MOST)) {
      logs += Math.log(product);
      product = 1;
    }
    const deviation = rootShape * inverse;
    scale[i] = deviation;
    residual[i] = deviation * (power - mean);
  }
  return log_likelihood - rootShape * rootShape * (logs + Math.log(product) + ratios);
}

/** Sum of the products of the first values, in two sums side by side: each waits for its own last term. */
function dot(a: Float64Array, b: Float64Array, count: number): number {
  let even = 0;
  let odd = 0;
  for (let i = 1; i < count; i += 2) {
    even += a[i - 1]! * b[i - 1]!;
    odd += a[i]! * b[i]!;
  }
  return count % 2 === 1 ? even + odd + a[count - 1]! * b[count - 1]! : even + odd;
}
