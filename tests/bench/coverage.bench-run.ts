import { expect, test } from 'vitest';
import type { ReadingAt } from '../../src/statistics/compare-stages.ts';
import { noiseShare } from '../../src/statistics/noise-share.ts';
import { bandwidthHz } from '../../src/statistics/spread-floor.ts';
import { coverageFactor } from '../../src/statistics/student-t.ts';
import { falseClaimsOfUsualPractice } from '../../src/statistics/usual-practice.ts';
import type { Scene } from './coverage-drawn.ts';
import { SeededRandom } from './coverage-random.ts';
import { soundReadings } from './coverage-sounded.ts';
import { compareScene, countPlans, printed, samplingError, subset, type Table } from './coverage-table.ts';
import type { Tally } from './coverage-tally.ts';

/**
 * Complete simulated measurements with known truth, through the real reading and comparing steps: printed is how often the stated
 * 95 % intervals hold it, how often a change is claimed where there is none, and how often a true one is found.
 *
 * On 2026-11-25, 1000 measurements a row, in per cent, good to 1.4 points: how often the interval holds the true value and the true
 * change, of the full-range time, of T20 and of T30; then how many bands (full range) and headlines claim a change where there is none.
 *
 *     plan    full range   T20          T30          claiming
 *             value chg    value chg    value chg    bands head
 *     1 x 1   95.7  97.0   97.2  98.1   96.7  97.4   3.0  1.4
 *     1 x 3   96.7  97.7   98.7  99.1   98.2  98.6   2.3  0.9
 *     1 x 6   96.9  97.6   98.7  98.9   98.1  98.5   2.4  1.6
 *     2 x 1   95.8  96.9   96.8  97.2   96.6  97.2   3.1  1.1
 *     2 x 3   96.1  96.6   98.4  98.7   97.8  98.1   3.4  1.8
 *     2 x 6   95.9  96.6   98.6  98.8   97.9  98.1   3.4  2.4
 *     3 x 1   95.3  96.5   96.8  97.2   96.2  97.2   3.5  2.2
 *     3 x 3   95.7  96.8   98.3  98.6   97.8  98.2   3.2  2.2
 *     3 x 6   95.5  95.9   98.4  98.5   97.7  98.3   4.1  3.1
 *     6 x 1   95.0  95.9   95.8  96.5   95.1  96.3   4.1  2.4
 *     6 x 3   95.2  96.0   97.3  98.1   96.7  97.6   4.0  3.2
 *     6 x 6   95.2  95.8   97.6  97.9   97.0  97.5   4.2  2.9
 *
 * With no correlation between the stages at all, 1 to 3 positions: values held 95.4 to 96.6, changes 95.2 to 96.8 (full range), bands
 * claiming 3.2 to 4.8, headlines 1.6 to 3.8. With an overdispersion of 1.5 besides (600 measurements): values 92.7 to 93.5,
 * changes 92.0 to 93.9, bands 6.1 to 8.0. The 10 % change is found in 99.6, by the test told the spread in 99.7.
 *
 * Number of measurements: COVERAGE_MEASUREMENTS, default 1000 (about half an hour on one core).
 */
const MEASUREMENTS = Number(process.env.COVERAGE_MEASUREMENTS ?? 1000);
const BANDS_HZ = [125, 250, 500, 1000, 2000, 4000];
const SIX_HOURS_MS = 6 * 3_600_000;

function randomScene(random: SeededRandom, fixed: Partial<Scene>): Scene {
  return {
    bands_hz: BANDS_HZ,
    decay_s: [0.3, 0.3],
    positions: 6,
    claps: 6,
    range_db: random.between(25, 70),
    overdispersion: random.between(1, 1.5),
    correlation: random.between(0, 0.8),
    ...fixed,
  };
}

/**
 * 93 to 97 % of values and changes held; up to 99 % of T20 and T30, whose floor by ISO 3382-2 is too wide; no more of either
 * claiming than `claims` per cent: each within the sampling error. EDT is only printed.
 */
function expectHeld(name: string, tally: Tally, claims = 5): void {
  if (name.startsWith('edt_s') || tally.changes === 0) return;
  const margin = samplingError(tally.measurements);
  const most = name.startsWith('tfull_s') ? 97 : 99;
  for (const held of [tally.values_held / tally.values, tally.changes_held / tally.changes]) {
    expect(100 * held, name).toBeGreaterThan(93 - margin);
    expect(100 * held, name).toBeLessThan(most + margin);
  }
  if (!name.startsWith('tfull_s')) return;
  expect(100 * (tally.claims / tally.changes), name).toBeLessThan(claims + margin);
  expect(100 * (tally.headline_claims / tally.headlines), name).toBeLessThan(claims + margin);
}

/** Half the measurements from each of two seeds, so that they can be run side by side. */
function* scenes(fixed: Partial<Scene>, seeds: readonly number[]): Generator<{ scene: Scene; random: SeededRandom }> {
  for (const seed of seeds) {
    const random = new SeededRandom(seed);
    for (let i = 0; i < MEASUREMENTS / seeds.length; i++) yield { scene: randomScene(random, fixed), random };
  }
}

test(
  'with nothing changed, the intervals hold the truth and few bands or headlines claim a change',
  () => {
    const table: Table = new Map();
    const usual = new Map(BANDS_HZ.map((centre_hz) => [centre_hz, { pairs: 0, claims: 0 }]));
    for (const { scene, random } of scenes({}, [601, 602])) {
      const readings = soundReadings(scene, random);
      countPlans(table, scene, readings);
      for (const [centre_hz, counted] of usual) {
        const [before, after] = subset(readings, 1, 1).map(
          (reading) => reading.bands.find((band) => band.centre_hz === centre_hz)?.t20_s ?? null,
        );
        if (before == null || after == null) continue;
        counted.pairs++;
        if (Math.abs(after / before - 1) > 0.05) counted.claims++;
      }
    }
    console.log(
      `${MEASUREMENTS} measurements, sampling error ${samplingError(MEASUREMENTS).toFixed(1)} points\n${printed(table)}`,
    );
    console.log(
      'One position, one clap, T20 read off, any difference over 5 % believed: claims a change where there is none',
    );
    for (const [centre_hz, { pairs, claims }] of usual) {
      const predicted = falseClaimsOfUsualPractice({
        decay_s: 0.3,
        bandwidth_hz: bandwidthHz('octave', centre_hz),
        least_percent: 5,
      });
      console.log(
        `${centre_hz} Hz: ${((100 * claims) / pairs).toFixed(0)} % of ${pairs}; theory ${(100 * predicted).toFixed(0)} %`,
      );
    }
    for (const [name, tally] of table) if (name.endsWith('all')) expectHeld(name, tally);
  },
  SIX_HOURS_MS,
);

test.each([
  ['where the stages share no fine structure at all', 611, 5, { correlation: 0 }],
  // 7 %: what intervals that hold 93 % let through.
  ['where besides places differ most', 621, 7, { correlation: 0, overdispersion: 1.5 }],
] as const)(
  '%s, the intervals of 1 to 3 positions still hold the truth',
  (what, seed, claims, fixed) => {
    const table: Table = new Map();
    for (const { scene, random } of scenes({ positions: 3, claps: 3, ...fixed }, [seed])) {
      const readings = soundReadings(scene, random);
      countPlans(table, scene, readings, { positions: [1, 2, 3], claps: [1, 3] });
    }
    const rows: Table = new Map([...table].filter(([name]) => name.endsWith('all')));
    console.log(`${what}, sampling error ${samplingError(MEASUREMENTS).toFixed(1)} points\n${printed(rows)}`);
    for (const [name, tally] of rows) expectHeld(name, tally, claims);
  },
  SIX_HOURS_MS,
);

test(
  'a true 10 % change at 1 kHz is found by three positions of four claps at 50 dB of range',
  () => {
    let found = 0;
    let ideal = 0;
    let held = 0;
    let measurements = 0;
    const fixed = { decay_s: [0.3, 0.27], positions: 3, claps: 4, range_db: 50 } as const;
    for (const { scene, random } of scenes(fixed, [501, 502])) {
      const { change, told } = oneChange(scene, random);
      measurements++;
      if (change.verdict === 'reduced') found++;
      if (change.percent_low! <= -10 && -10 <= change.percent_high!) held++;
      if (Math.log(change.ratio!) < -coverageFactor(null) * told) ideal++;
    }
    const share = (part: number) => ((100 * part) / measurements).toFixed(1);
    console.log(
      `10 % change at 1 kHz: found in ${share(found)} %, interval holds it in ${share(held)} %, ` +
        `by the test told the spread ${share(ideal)} %, of ${measurements}`,
    );
    expect(found / measurements).toBeGreaterThan(0.9 - samplingError(measurements) / 100);
    expect(found / measurements).toBeGreaterThan(ideal / measurements - 0.05);
  },
  SIX_HOURS_MS,
);

/** One measurement's change at 1 kHz, and the standard deviation its logarithm truly has, the spread being told. */
function oneChange(scene: Scene, random: SeededRandom) {
  const readings = soundReadings(scene, random);
  const change = compareScene(readings).changes[0]!.values.find(
    (value) => value.quantity === 'tfull_s' && value.centre_hz === 1000,
  )!;
  return { change, told: toldSpread(scene, readings) };
}

/** From the readings' own standard errors, the overdispersion and the correlation of the scene, and no estimate at all. */
function toldSpread(scene: Scene, readings: readonly ReadingAt[]): number {
  const bands = readings.map((reading) => reading.bands.find((band) => band.centre_hz === 1000)!);
  const read = bands.filter((band) => band.tfull_s !== null);
  const fisher = read.reduce((sum, band) => sum + (band.tfull_standard_error_s! / band.tfull_s!) ** 2, 0) / read.length;
  const share = noiseShare(scene.range_db);
  const room = (scene.overdispersion ** 2 - share) * (1 - scene.correlation);
  return Math.sqrt((2 * fisher * (room + share / scene.claps)) / scene.positions);
}
