import { describe, expect, test } from 'vitest';
import type { BandReading, DecayCurve } from '../../src/room/reading.ts';
import type { ReadingAt } from '../../src/statistics/cells.ts';
import {
  likelihoodOfShared,
  type SharedByBand,
  sharedByBand,
  sharedNear,
  stageDecays,
} from '../../src/statistics/shared-structure.ts';
import { bandReading, drawReadings } from '../bench/coverage-drawn.ts';
import { SeededRandom } from '../bench/coverage-random.ts';
import { soundReadings } from '../bench/coverage-sounded.ts';
import { compared, pick, SCENE } from './readings.ts';

const BEFORE_AFTER = ['before', 'after'] as const;
const sharedOf = (readings: readonly ReadingAt[], stages: typeof BEFORE_AFTER, width: DecayCurve['width']) =>
  sharedByBand(stageDecays(readings, width), stages, width);
/** Two steps of the curve: more than one over the bandwidth of the 1 kHz octave. The first starts at 20 ms. */
const CELL_S = 0.0016;
const CELLS = 60;
const DECAY_S = 0.4;

/** A noise-free decay whose cells hold the energies given, as multiples of those of its exponential. */
function curveOf(relative: readonly number[]): DecayCurve {
  const rate = Math.log(1e6) / DECAY_S;
  const share = (from_s: number, to_s: number) => Math.exp(-rate * from_s) - Math.exp(-rate * to_s);
  const step_s = CELL_S / 2;
  const steps = Math.round((0.02 + CELLS * CELL_S) / step_s) + 40;
  const energy = Array.from({ length: steps }, (_, i) => {
    const from_s = i * step_s;
    const cell = Math.floor((from_s + step_s / 2 - 0.02) / CELL_S);
    return share(from_s, from_s + step_s) * (relative[cell] ?? 1);
  });
  const level_db = [];
  let left = share(steps * step_s, 10);
  for (let i = steps - 1; i >= 0; i--) {
    left += energy[i]!;
    level_db.unshift(10 * Math.log10(left));
  }
  return {
    width: 'octave',
    centre_hz: 1000,
    step_s,
    level_db,
    noise_db: null,
    truncation_s: 0.02 + CELLS * CELL_S + 1e-6,
  };
}

function at(stage: string, curve: DecayCurve, more: Partial<ReadingAt> = {}, band: Partial<BandReading> = {}) {
  const given = bandReading({ centre_hz: curve.centre_hz, tfull_s: DECAY_S, range_db: 60, ...band });
  return { stage, position: 'A', take: stage, bands: [given], curves: [curve], ...more } satisfies ReadingAt;
}

/** Energies of cells that scatter like an exponential variable, about one. */
function uneven(seed: number): number[] {
  const random = new SeededRandom(seed);
  return Array.from({ length: CELLS }, () => -Math.log(1 - random.uniform()));
}

/** Partial correlation of two lists given a third: Yule, Proc. R. Soc. A 79 (1907) 182-193 (from memory). */
function partial(a: readonly number[], b: readonly number[], given: readonly number[]): number {
  const [ab, ag, bg] = [plain(a, b), plain(a, given), plain(b, given)];
  return (ab - ag * bg) / Math.sqrt((1 - ag ** 2) * (1 - bg ** 2));
}

function plain(a: readonly number[], b: readonly number[]): number {
  const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
  const [ma, mb] = [mean(a), mean(b)];
  const product = (x: readonly number[], mx: number, y: readonly number[], my: number) =>
    x.reduce((sum, value, i) => sum + (value - mx) * (y[i]! - my), 0);
  return product(a, ma, b, mb) / Math.sqrt(product(a, ma, a, ma) * product(b, mb, b, mb));
}

describe('sharedByBand', () => {
  test('gives the partial correlation of the cells of two decays, time held fixed', () => {
    const [first, own] = [uneven(1), uneven(2)];
    const second = first.map((value, i) => 0.5 * value + 0.5 * own[i]!);
    const found = sharedOf([at('before', curveOf(first)), at('after', curveOf(second))], BEFORE_AFTER, 'octave');
    const time = first.map((_, i) => i);
    expect(found.get(1000)!.correlation).toBeCloseTo(partial(first, second, time), 6);
    expect(found.get(1000)!.correlation).toBeGreaterThan(0.5);
  });

  test('takes the mean of repeats before it compares, so that what claps do not share weighs less', () => {
    const common = uneven(3);
    const clap = (seed: number) => common.map((value, i) => (value + uneven(seed)[i]!) / 2);
    const repeats = (stage: string, seeds: readonly number[]) =>
      seeds.map((seed) => at(stage, curveOf(clap(seed)), { take: `${stage}${seed}` }));
    const one = sharedOf([...repeats('before', [11]), ...repeats('after', [21])], BEFORE_AFTER, 'octave');
    const six = sharedOf(
      [...repeats('before', [11, 12, 13, 14, 15, 16]), ...repeats('after', [21, 22, 23, 24, 25, 26])],
      BEFORE_AFTER,
      'octave',
    );
    expect(six.get(1000)!.correlation).toBeGreaterThan(one.get(1000)!.correlation + 0.1);
  });

  test('pools over the places both stages have, each by its number of cells', () => {
    const readings = (place: string, seeds: readonly [number, number]) => [
      at('before', curveOf(uneven(seeds[0])), { position: place }),
      at('after', curveOf(uneven(seeds[1])), { position: place }),
    ];
    const [a, b] = [readings('A', [31, 31]), readings('B', [32, 33])];
    const of = (list: readonly ReadingAt[]) => sharedOf(list, BEFORE_AFTER, 'octave').get(1000)!;
    expect(of(a).correlation).toBeCloseTo(0.99, 9);
    expect(of([...a, ...b]).pairs).toBeCloseTo(of(a).pairs + of(b).pairs, 9);
    expect(of([...a, ...b]).correlation).toBeCloseTo((of(a).correlation + of(b).correlation) / 2, 9);
  });

  test('counts the cells up to where the decay stands 10 dB over the noise, or the curve ends, less three, over 1.6', () => {
    const pairs = (change: Partial<DecayCurve>) => {
      const curve = { ...curveOf(uneven(1)), ...change };
      return sharedOf([at('before', curve), at('after', curve)], BEFORE_AFTER, 'octave').get(1000)?.pairs;
    };
    const cells = (count: number) => (count - 3) / 1.6;
    expect(pairs({})).toBeCloseTo(cells(CELLS), 9);
    // The range is 60 dB: 10 dB over the noise at five sixths of the way to it, a little past 60 ms.
    expect(pairs({ noise_db: -60, truncation_s: 0.0725 })).toBeCloseTo(cells(25), 9);
    // A curve of n + 1 levels ends after n steps, two to a cell.
    const short = curveOf(uneven(1));
    expect(pairs({ level_db: Array.from(short.level_db).slice(0, 25 + 2 * 20 + 1) })).toBeCloseTo(cells(20), 9);
    expect(pairs({ truncation_s: 0.02 + 6.01 * CELL_S })).toBeCloseTo(cells(6), 9);
    expect(pairs({ truncation_s: 0.02 + 5.99 * CELL_S })).toBeUndefined();
  });

  test('looks at the bands and curves of its own width alone', () => {
    const octave = curveOf(uneven(1));
    const third = { ...octave, width: 'third-octave' as const };
    const both = (stage: string) => {
      const one = at(stage, octave);
      const refused = bandReading({ centre_hz: 1000, width: 'third-octave', tfull_s: null });
      const other = bandReading({ centre_hz: 500, tfull_s: null });
      return { ...one, bands: [refused, other, ...one.bands], curves: [third, octave] };
    };
    const readings = [both('before'), both('after')];
    const alone = sharedOf([at('before', octave), at('after', octave)], BEFORE_AFTER, 'octave');
    expect(sharedOf(readings, BEFORE_AFTER, 'octave')).toEqual(alone);
    expect(sharedOf(readings, BEFORE_AFTER, 'third-octave').size).toBe(0);
  });

  test.each([
    ['no curves', [at('before', curveOf(uneven(1))), { ...at('after', curveOf(uneven(1))), curves: [] }]],
    ['no shared place', [at('before', curveOf(uneven(1))), at('after', curveOf(uneven(1)), { position: 'B' })]],
    [
      'a refused full-range time',
      [at('before', curveOf(uneven(1))), at('after', curveOf(uneven(1)), {}, { tfull_s: null })],
    ],
    [
      'two slopes',
      [
        at('before', curveOf(uneven(1))),
        at(
          'after',
          curveOf(uneven(1)),
          {},
          { two_slopes: { early_s: 0.3, late_s: 1, late_level_db: -20, crossing_s: 0.1 } },
        ),
      ],
    ],
    [
      'too short a decay over the noise',
      [at('before', curveOf(uneven(1))), at('after', { ...curveOf(uneven(1)), truncation_s: 0.025 })],
    ],
  ])('says nothing of a band with %s', (_, readings) => {
    expect(sharedOf(readings, BEFORE_AFTER, 'octave').size).toBe(0);
  });

  test.each([0, 0.7])(
    'finds a correlation of %d, or a little less for the claps, in simulated recordings',
    (correlation) => {
      const random = new SeededRandom(40);
      const found = Array.from({ length: 4 }, () => {
        const scene = { ...SCENE, bands_hz: [500, 1000], positions: 1, correlation, overdispersion: 1 };
        return sharedNear(sharedOf(soundReadings(scene, random), BEFORE_AFTER, 'octave'), 500)!;
      });
      const pairs = found.reduce((sum, one) => sum + one.pairs, 0);
      const mean = found.reduce((sum, one) => sum + one.correlation / found.length, 0);
      expect(mean).toBeLessThan(correlation + 3 / Math.sqrt(pairs));
      expect(mean).toBeGreaterThan(0.7 * correlation - 3 / Math.sqrt(pairs));
    },
  );
});

test('a band may borrow from the two octaves above it, never from below', () => {
  const shared: SharedByBand = new Map([
    [125, { correlation: 0.8, pairs: 10 }],
    [250, { correlation: 0.6, pairs: 30 }],
    [1000, { correlation: 0.2, pairs: 30 }],
    [2000, { correlation: 0.1, pairs: 100 }],
  ]);
  expect(sharedNear(shared, 250)).toEqual({ correlation: (0.6 * 30 + 0.2 * 30) / 60, pairs: 60 });
  expect(sharedNear(shared, 2000)).toEqual({ correlation: 0.1, pairs: 100 });
  expect(sharedNear(shared, 4000)).toBeNull();
});

test("the likelihood falls with Fisher's z: a correlation of 0.5 lies 0.5493 from none", () => {
  // Fisher, Statistical Methods for Research Workers, Table V.B: z = 0.5493 at r = 0.5 (from memory).
  const seen = { correlation: 0.5, pairs: 40 };
  expect(likelihoodOfShared(seen, 0.5)).toBeCloseTo(0, 12);
  expect(likelihoodOfShared(seen, 0)).toBeCloseTo(-20 * 0.5493 ** 2, 3);
});

test('at one place the interval of a change is narrower where the decays show that the stages share their field', () => {
  const plain = drawReadings({ ...SCENE, positions: 1, claps: 1 }, new SeededRandom(5)).map((reading) => ({
    ...reading,
    position: 'A',
  }));
  const withCurves = (seeds: Record<string, number>) =>
    plain.map((reading) => ({ ...reading, curves: [curveOf(uneven(seeds[reading.stage]!))] }));
  const change = (readings: readonly ReadingAt[]) => pick(compared(readings).change.values, 'tfull_s', 1000);
  const none = change(plain);
  const apart = change(withCurves({ before: 6, after: 7 }));
  const alike = change(withCurves({ before: 6, after: 6 }));
  expect(none.correlation).toBe(0);
  expect(alike.correlation).toBeGreaterThan(0.7);
  expect(alike.standard_uncertainty!).toBeLessThan(0.7 * none.standard_uncertainty!);
  expect(apart.standard_uncertainty!).toBeGreaterThan(0.9 * none.standard_uncertainty!);
});
