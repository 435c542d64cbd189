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

/**
 * Complete simulated measurements with known truth, through the real reading and comparing steps: printed is how often the stated
 * 95 % intervals hold it, how often a change is claimed where there is none, and how often a true one is found.
 * Number of measurements: COVERAGE_MEASUREMENTS, default 1000 (about an hour on one core).
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
    for (const { scene, random } of scenes({}, [101, 102])) {
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
    for (const [name, tally] of table) {
      if (!name.startsWith('tfull_s') || !name.endsWith('all')) continue;
      const margin = samplingError(tally.measurements);
      expect(100 * (tally.values_held / tally.values), name).toBeGreaterThan(93 - margin);
      expect(100 * (tally.claims / tally.changes), name).toBeLessThan(5 + margin);
      expect(100 * (tally.headline_claims / tally.headlines), name).toBeLessThan(5 + margin);
    }
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
    for (const { scene, random } of scenes(fixed, [201, 202])) {
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
