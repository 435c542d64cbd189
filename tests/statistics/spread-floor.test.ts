import { expect, test } from 'vitest';
import {
  bandwidthHz,
  floorVariance,
  STATISTICAL_BANDWIDTH,
  t20Spread,
  t30Spread,
} from '../../src/statistics/spread-floor.ts';
import { bandReading } from '../bench/coverage-drawn.ts';
import { SeededRandom } from '../bench/coverage-random.ts';

// ISO 3382-2:2008, clause 7, worked from its formulas (from memory, high; 0.88 and 0.55 confirmed by simulation), seconds to 1e-5.
const WORKED = [
  { decay_s: 0.4, positions: 6, decays: 10, width: 'octave', centre_hz: 1000, t20: 0.0093, t30: 0.00572 },
  { decay_s: 0.4, positions: 2, decays: 10, width: 'octave', centre_hz: 1000, t20: 0.01611, t30: 0.00991 },
  { decay_s: 0.4, positions: 6, decays: 10, width: 'octave', centre_hz: 125, t20: 0.02631, t30: 0.01618 },
  { decay_s: 0.3, positions: 12, decays: 10, width: 'third-octave', centre_hz: 500, t20: 0.01415, t30: 0.0087 },
  { decay_s: 0.3, positions: 3, decays: 10, width: 'third-octave', centre_hz: 250, t20: 0.04003, t30: 0.02462 },
  { decay_s: 0.5, positions: 1, decays: 10, width: 'octave', centre_hz: 125, t20: 0.07205, t30: 0.04431 },
  { decay_s: 1, positions: 6, decays: 2, width: 'octave', centre_hz: 500, t20: 0.02663, t30: 0.01581 },
] as const;

test.each(WORKED)(
  't20Spread and t30Spread follow ISO 3382-2 at $centre_hz Hz, $width, $positions positions, $decays decays',
  (row) => {
    const options = { ...row, bandwidth_hz: bandwidthHz(row.width, row.centre_hz) };
    expect(t20Spread(options)).toBeCloseTo(row.t20, 5);
    expect(t30Spread(options)).toBeCloseTo(row.t30, 5);
  },
);

/** Readings of ideal decays: band-limited Gaussian noise of the filter's statistical bandwidth under an exponential, in cells of 1/B. */
function idealReadings(decay_s: number, bandwidth_hz: number, draws: number) {
  const random = new SeededRandom(17);
  const cell_s = 1 / (STATISTICAL_BANDWIDTH * bandwidth_hz);
  const rate = Math.log(1e6) / decay_s;
  return Array.from({ length: draws }, () => {
    const sums = { early50: 0, early80: 0, all: 0, moment: 0, late20: 0 };
    for (let t = cell_s / 2; t < 2 * decay_s; t += cell_s) {
      const energy = (random.normal() ** 2 + random.normal() ** 2) * Math.exp(-rate * t);
      sums.all += energy;
      sums.moment += t * energy;
      if (t < 0.05) sums.early50 += energy;
      if (t < 0.08) sums.early80 += energy;
      if (t >= 0.02) sums.late20 += energy;
    }
    const db = (ratio: number) => 10 * Math.log10(ratio);
    return {
      c50_db: db(sums.early50 / (sums.all - sums.early50)),
      c80_db: db(sums.early80 / (sums.all - sums.early80)),
      d50: sums.early50 / sums.all,
      ts_s: sums.moment / sums.all,
      late_level_db: db(sums.late20),
    };
  });
}

test('floorVariance of clarity, centre time and late level is the spread of simulated ideal decays', () => {
  const decay_s = 0.5;
  const readings = idealReadings(decay_s, bandwidthHz('octave', 1000), 3000);
  for (const quantity of ['c50_db', 'c80_db', 'd50', 'ts_s', 'late_level_db'] as const) {
    const values = readings.map((reading) => reading[quantity]);
    const centre = values.reduce((sum, value) => sum + value, 0) / values.length;
    const spread = Math.sqrt(values.reduce((sum, value) => sum + (value - centre) ** 2, 0) / values.length);
    const band = bandReading({ centre_hz: 1000, t30_s: decay_s, [quantity]: centre });
    // 3000 draws tell a spread to 1.3 % (one sigma); the formulas are of first order in 1/(B T).
    expect(spread / Math.sqrt(floorVariance(quantity, band)!), quantity).toBeGreaterThan(0.94);
    expect(spread / Math.sqrt(floorVariance(quantity, band)!), quantity).toBeLessThan(1.06);
  }
});

test('floorVariance of the full-range time is its own standard error, relative', () => {
  const band = bandReading({ centre_hz: 500, tfull_s: 0.4, tfull_standard_error_s: 0.01 });
  expect(floorVariance('tfull_s', band)).toBeCloseTo(0.000625, 12);
});

test('floorVariance is null where the value, its error or every decay time is missing', () => {
  expect(floorVariance('t20_s', bandReading({ centre_hz: 500, t30_s: 0.4 }))).toBeNull();
  expect(floorVariance('tfull_s', bandReading({ centre_hz: 500, tfull_s: 0.4 }))).toBeNull();
  expect(floorVariance('c50_db', bandReading({ centre_hz: 500, c50_db: 8 }))).toBeNull();
});
