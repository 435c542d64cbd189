import { expect, test } from 'vitest';
import { cellModel } from '../../src/statistics/cell-model.ts';
import {
  bandwidthHz,
  floorKind,
  floorVariance,
  fullRangeVariance,
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

/** EDT: the line through the first 10 dB of the backward-integrated energies (ISO 3382-1:2009, A.2.2, from memory). */
function earlyDecay_s(energies: readonly number[], cell_s: number): number {
  const left = energies.toReversed();
  for (let i = 1; i < left.length; i++) left[i]! += left[i - 1]!;
  const level_db = left.reverse().map((energy) => 10 * Math.log10(energy / left.at(-1)!));
  const count = level_db.findIndex((level) => level < level_db[0]! - 10);
  const times = level_db.slice(0, count).map((_, i) => i - (count - 1) / 2);
  const slope =
    times.reduce((sum, t, i) => sum + t * level_db[i]!, 0) / times.reduce((sum, t) => sum + t * t, 0) / cell_s;
  return -60 / slope;
}

/** Readings of ideal decays: band-limited Gaussian noise of the filter's statistical bandwidth under an exponential, in cells of 1/B. */
function idealReadings(decay_s: number, bandwidth_hz: number, draws: number) {
  const random = new SeededRandom(17);
  const cell_s = 1 / (STATISTICAL_BANDWIDTH * bandwidth_hz);
  const rate = Math.log(1e6) / decay_s;
  return Array.from({ length: draws }, () => {
    const energies: number[] = [];
    const sums = { early50: 0, early80: 0, all: 0, moment: 0, late20: 0 };
    for (let t = cell_s / 2; t < 2 * decay_s; t += cell_s) {
      const energy = (random.normal() ** 2 + random.normal() ** 2) * Math.exp(-rate * t);
      energies.push(energy);
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
      edt_s: earlyDecay_s(energies, cell_s),
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

test('floorVariance of the early decay time, relative, is the spread of simulated ideal decays', () => {
  const decay_s = 0.5;
  const times = idealReadings(decay_s, bandwidthHz('octave', 1000), 2000).map(({ edt_s }) => Math.log(edt_s));
  const centre = times.reduce((sum, time) => sum + time, 0) / times.length;
  const spread = Math.sqrt(times.reduce((sum, time) => sum + (time - centre) ** 2, 0) / times.length);
  const floor = floorVariance('edt_s', bandReading({ centre_hz: 1000, t30_s: decay_s, edt_s: decay_s }))!;
  // 2000 draws tell a spread to 1.6 %; independent cells of 1/B are no six-pole filter, from which the factor is.
  expect(spread / Math.sqrt(floor)).toBeGreaterThan(0.9);
  expect(spread / Math.sqrt(floor)).toBeLessThan(1.1);
});

test('floorVariance of T20 and T30, relative, is what ISO 3382-2 gives for one position', () => {
  const { decay_s, decays, width, centre_hz, t20, t30 } = WORKED[5];
  const band = bandReading({ centre_hz, width, t20_s: decay_s, t30_s: decay_s });
  expect(decay_s * Math.sqrt(floorVariance('t20_s', band, decays)!)).toBeCloseTo(t20, 5);
  expect(decay_s * Math.sqrt(floorVariance('t30_s', band, decays)!)).toBeCloseTo(t30, 5);
});

test('the floor of T20 and T30 is the standard’s, of all else the least there can be', () => {
  const quantities = [
    'edt_s',
    't20_s',
    't30_s',
    'tfull_s',
    'c50_db',
    'c80_db',
    'd50',
    'ts_s',
    'late_level_db',
  ] as const;
  expect(quantities.filter((quantity) => floorKind(quantity) === 'standard')).toEqual(['t20_s', 't30_s']);
});

test('floorVariance takes the decay time from the full range, T30, T20, EDT, in that order, else from the centre time', () => {
  // The centre time of an exponential is T / ln(10^6); of the late level the floor goes as 1 / T.
  const times = { tfull_s: 0.2, t30_s: 0.3, t20_s: 0.4, edt_s: 0.5, ts_s: 0.6 / Math.log(1e6) };
  const given = { centre_hz: 1000, late_level_db: -10, ...times };
  const floor = (missing: object) => floorVariance('late_level_db', bandReading({ ...given, ...missing }));
  const used: (number | null)[] = [];
  let missing = {};
  for (const name of Object.keys(times)) {
    used.push(floor(missing));
    missing = { ...missing, [name]: null };
  }
  expect(used.map((value) => used[0]! / value!)).toEqual(
    [2, 3, 4, 5, 6].map((tenths) => expect.closeTo(tenths / 2, 9)),
  );
  expect(floor(missing)).toBeNull();
  expect(floor({ ...missing, ts_s: 0 })).toBeNull();
});

test('fullRangeVariance starts the fit at 20 ms, or at a tenth of a short decay, which is 6 dB down', () => {
  const range_db = 50;
  const bandwidth_hz = 700;
  for (const [decay_s, start_db] of [
    [0.1, 6],
    [0.15, 6],
    [0.4, 3],
    [1.2, 1],
  ] as const) {
    const { variance } = cellModel({ range_db, start_db });
    // One decibel takes T / 60.
    const expected = variance / (STATISTICAL_BANDWIDTH * bandwidth_hz * (decay_s / 60));
    expect(fullRangeVariance({ decay_s, bandwidth_hz, range_db }) / expected).toBeCloseTo(1, 9);
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
