import { expect, test } from 'vitest';
import { drawReadings, type Scene } from '../bench/coverage-drawn.ts';
import { SeededRandom } from '../bench/coverage-random.ts';
import { compareScene } from '../bench/coverage-table.ts';
import { count, newTally } from '../bench/coverage-tally.ts';

const MEASUREMENTS = 250;

/** One band of interest a measurement, so that the counts are independent and the binomial law holds. */
function tallied(positions: number, claps: number, seed: number) {
  const random = new SeededRandom(seed);
  const tally = newTally();
  for (let i = 0; i < MEASUREMENTS; i++) {
    const scene: Scene = {
      bands_hz: [250, 500, 1000, 2000],
      decay_s: [0.3, 0.3],
      positions,
      claps,
      range_db: random.between(25, 70),
      overdispersion: random.between(1, 1.5),
      correlation: random.between(0, 0.8),
      full_range_only: true,
    };
    const { stages, changes } = compareScene(drawReadings(scene, random));
    count(tally, { scene, quantity: 'tfull_s', stages: stages.slice(0, 1), change: changes[0]!, centre_hz: 1000 });
  }
  return tally;
}

/** Largest and smallest count that a share leaves likely at three standard errors. */
function limits(share: number, of: number): [low: number, high: number] {
  const error = 3 * Math.sqrt(of * share * (1 - share));
  return [of * share - error, of * share + error];
}

test.each([
  [1, 1],
  [2, 3],
  [6, 1],
])(
  'intervals of %d positions, %d claps each, hold the truth at their 95 per cent, and false claims stay under 5',
  (positions, claps) => {
    const tally = tallied(positions, claps, 10 * positions + claps);
    expect(tally.values).toBe(MEASUREMENTS);
    expect(tally.values_held).toBeGreaterThan(limits(0.95, tally.values)[0]);
    expect(tally.claims).toBeLessThan(limits(0.05, tally.changes)[1]);
    expect(tally.headline_claims).toBeLessThan(limits(0.05, tally.headlines)[1]);
  },
);

test('intervals of six positions are no wider than they need be: they miss the truth now and then', () => {
  const tally = tallied(6, 1, 99);
  expect(tally.values - tally.values_held).toBeGreaterThan(limits(0.035, tally.values)[0]);
});
