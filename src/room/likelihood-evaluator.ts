import type { Cells } from './cells.ts';

/** Of a decay's cells, for some parameters. */
export interface Evaluation {
  log_likelihood: number;
  score: Float64Array;
  information: Float64Array;
}

/** Memory of the evaluations of one fit: they come by the dozen, and each asking for its own was seen to take half their time. */
export class Evaluator {
  readonly #cells: Cells;
  readonly #slopeCount: number;
  readonly #shape: Float64Array;
  readonly #row: Float64Array;
  readonly #rates: Float64Array;
  readonly #powers: Float64Array;
  readonly #ratios: Float64Array;
  readonly #widening: Float64Array;
  #spare: Evaluation;
  #held: Evaluation;

  constructor(cells: Cells, options: { slopeCount: number; size: number; bandwidth_hz: number }) {
    const { slopeCount, size, bandwidth_hz } = options;
    this.#cells = cells;
    this.#slopeCount = slopeCount;
    this.#shape = cells.width_s.map((width_s) => bandwidth_hz * width_s);
    this.#row = new Float64Array(size);
    this.#rates = new Float64Array(slopeCount);
    this.#powers = new Float64Array(slopeCount);
    this.#ratios = new Float64Array(slopeCount);
    this.#widening = new Float64Array(slopeCount);
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
   * Fisher information in the logarithmic parameters. Neighbouring cells of one width share their exponentials by a constant
   * ratio, which saves most of the time; the mean of exp(-rate t) over a cell of width w is its value in the middle times
   * sinh(x)/x, x = rate w/2.
   *
   * Good until the next call, or, once held, until the next is held.
   */
  at(theta: Float64Array): Evaluation {
    const out = this.#spare;
    const { score, information } = out;
    const { time_s, width_s, power: powerOf } = this.#cells;
    const slopeCount = this.#slopeCount;
    const [row, rates, powers] = [this.#row, this.#rates, this.#powers];
    const [ratios, widening, shapes] = [this.#ratios, this.#widening, this.#shape];
    const size = theta.length;
    score.fill(0);
    information.fill(0);
    for (let j = 0; j < slopeCount; j++) rates[j] = Math.exp(theta[2 * j + 1]!);
    const noise = size > 2 * slopeCount ? Math.exp(theta[2 * slopeCount]!) : 0;
    if (noise > 0) row[2 * slopeCount] = noise;
    let log_likelihood = 0;
    let groupWidth = -1;
    for (let i = 0; i < powerOf.length; i++) {
      const t = time_s[i]!;
      const width = width_s[i]!;
      const sameWidth = Math.abs(width - groupWidth) < 1e-9 * width;
      if (!sameWidth) groupWidth = width;
      let mean = noise;
      for (let j = 0; j < slopeCount; j++) {
        const rate = rates[j]!;
        if (sameWidth) powers[j] = powers[j]! * ratios[j]!;
        else {
          const half = (rate * width) / 2;
          const spread = half < 1e-4 ? 1 : Math.sinh(half) / half;
          powers[j] = Math.exp(theta[2 * j]! - rate * t) * spread;
          ratios[j] = Math.exp(-rate * width);
          widening[j] = half < 1e-4 ? 0 : half / Math.tanh(half) - 1;
        }
        const part = powers[j]!;
        mean += part;
        row[2 * j] = part;
        row[2 * j + 1] = part * (widening[j]! - rate * t);
      }
      const shape = shapes[i]!;
      const power = powerOf[i]!;
      const inverseMean = 1 / mean;
      log_likelihood -= shape * (Math.log(mean) + power * inverseMean);
      const weight = shape * inverseMean * inverseMean;
      const residual = weight * (power - mean);
      for (let a = 0, at = 0; a < size; a++, at += size) {
        const part = row[a]!;
        score[a] = score[a]! + residual * part;
        const weighted = weight * part;
        for (let b = 0; b <= a; b++) information[at + b] = information[at + b]! + weighted * row[b]!;
      }
    }
    for (let a = 0; a < size; a++) for (let b = 0; b < a; b++) information[b * size + a] = information[a * size + b]!;
    out.log_likelihood = log_likelihood;
    return out;
  }
}
