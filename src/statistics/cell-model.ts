/**
 * What theory says of a decay time fitted to the whole of a decay: Gaussian noise of a band under A exp(-kt), over steady noise N,
 * all three unknown, by maximum likelihood on its energy in cells. Without a recording: for planning, and for telling the noise's
 * part of the spread from the room's.
 *
 * The estimate is, to first order, a weighted sum of the relative energies of the cells, weights from the inverse of the Fisher
 * information. Two repeats at a place share the signal S and not the noise N; for complex Gaussian amplitudes their energies
 * correlate by (S / (S + N))^2, which gives the part that repeats share (own derivation).
 */
export interface CellModel {
  /** Relative variance of T, times statistical bandwidth, times the time in which the level falls by one decibel. */
  variance: number;
  /** Share of that variance that is the recording's noise and averages down over repeats, 0 to 1. */
  noise_share: number;
}

const CELLS_PER_DB = 5;
/** The recording goes on into the noise by half as long again as the decay takes to reach it. */
const LENGTH_OVER_RANGE = 1.5;

/**
 * @param options.range_db level of the decay at time zero over the noise.
 * @param options.start_db how far the level has fallen where the fit starts.
 */
export function cellModel({ range_db, start_db }: { range_db: number; start_db: number }): CellModel {
  const gradients: Gradient[] = [];
  for (let fallen_db = start_db; fallen_db < LENGTH_OVER_RANGE * range_db; fallen_db += 1 / CELLS_PER_DB) {
    const signal = 10 ** ((range_db - fallen_db) / 10);
    const share = signal / (signal + 1);
    gradients.push([share, (-fallen_db * Math.LN10 * share) / 10, 1 - share]);
  }
  const sum = (a: Parameter, b: Parameter) => gradients.reduce((total, row) => total + row[a] * row[b], 0);
  const amplitude: Gradient = [sum(0, 0), sum(0, 1), sum(0, 2)];
  const decay: Gradient = [sum(1, 0), sum(1, 1), sum(1, 2)];
  const noise: Gradient = [sum(2, 0), sum(2, 1), sum(2, 2)];
  const cofactors = cross(noise, amplitude);
  const weights = gradients.map((row) => dot(row, cofactors));
  const total = weights.reduce((all, weight) => all + weight ** 2, 0);
  const room = weights.reduce((all, weight, i) => all + weight ** 2 * gradients[i]![0] ** 2, 0);
  return {
    variance: (cofactors[1] / dot(decay, cofactors)) * CELLS_PER_DB,
    noise_share: 1 - room / total,
  };
}

/** Relative derivatives of a cell's mean by the logarithms of amplitude, decay rate and noise. */
type Gradient = [amplitude: number, decay: number, noise: number];
type Parameter = 0 | 1 | 2;

function cross(a: Gradient, b: Gradient): Gradient {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}

function dot(a: Gradient, b: Gradient): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}
