/**
 * How much of the spread of a full-range decay time comes from the noise of the one recording, and so averages down over repeats
 * at a place, as a share from 0 to 1 of its Fisher variance. The rest is the fine structure of the room's decay at that place,
 * which every repeat shares.
 *
 * The estimate is, to first order, a weighted sum of the relative energies of the cells of the decay. Two repeats share the
 * signal S and not the noise N; for complex Gaussian amplitudes their energies correlate by (S / (S + N))^2. Weights are those of
 * maximum likelihood for a mean A exp(-kt) + N with all three unknown (own derivation; the cell model is the one of the fit).
 *
 * @param range_db level of the decay at time zero over the noise; held to the table's 15 to 90 dB
 */
export function noiseShare(range_db: number): number {
  const place = (Math.min(Math.max(range_db, TABLE_FROM_DB), TABLE_TO_DB) - TABLE_FROM_DB) / TABLE_STEP_DB;
  const below = Math.min(Math.floor(place), TABLE.length - 2);
  return TABLE[below]! + (TABLE[below + 1]! - TABLE[below]!) * (place - below);
}

const TABLE_FROM_DB = 15;
const TABLE_TO_DB = 90;
const TABLE_STEP_DB = 5;
const CELLS_PER_DB = 5;
/** The fit runs into the noise: by about half as long again as the decay takes to reach it. */
const LENGTH_OVER_RANGE = 1.5;
/** The fit leaves out the first tenth of the decay time. */
const START_DB = 6;

const TABLE = Array.from({ length: (TABLE_TO_DB - TABLE_FROM_DB) / TABLE_STEP_DB + 1 }, (_, i) =>
  shareAt(TABLE_FROM_DB + i * TABLE_STEP_DB),
);

function shareAt(range_db: number): number {
  const gradients: Gradient[] = [];
  const signal_shares: number[] = [];
  for (let cell = START_DB * CELLS_PER_DB; cell < LENGTH_OVER_RANGE * range_db * CELLS_PER_DB; cell++) {
    const fallen_db = (cell + 0.5) / CELLS_PER_DB;
    const signal = 10 ** ((range_db - fallen_db) / 10);
    const signal_share = signal / (signal + 1);
    gradients.push([signal_share, (-fallen_db / range_db) * signal_share, 1 - signal_share]);
    signal_shares.push(signal_share);
  }
  const row = decayRow(gradients);
  let total = 0;
  let room = 0;
  gradients.forEach((gradient, i) => {
    const weight = row[0] * gradient[0] + row[1] * gradient[1] + row[2] * gradient[2];
    total += weight ** 2;
    room += weight ** 2 * signal_shares[i]! ** 2;
  });
  return 1 - room / total;
}

type Gradient = [amplitude: number, decay: number, noise: number];

/** The decay's row of the inverse information matrix, up to a factor: the cross product of the other two rows. */
function decayRow(gradients: readonly Gradient[]): Gradient {
  const sum = (a: 0 | 1 | 2, b: 0 | 1 | 2) =>
    gradients.reduce((total, gradient) => total + gradient[a] * gradient[b], 0);
  const first = [sum(0, 0), sum(0, 1), sum(0, 2)] as const;
  const third = [sum(2, 0), sum(2, 1), sum(2, 2)] as const;
  return [
    third[1] * first[2] - third[2] * first[1],
    third[2] * first[0] - third[0] * first[2],
    third[0] * first[1] - third[1] * first[0],
  ];
}
