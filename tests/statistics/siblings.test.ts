import { describe, expect, it } from 'vitest';
import type { ReadingAt } from '../../src/statistics/cells.ts';
import { findOutliers } from '../../src/statistics/siblings.ts';
import { bandReading } from '../bench/coverage-drawn.ts';
import { SeededRandom } from '../bench/coverage-random.ts';
import { type DrawnShape, drawnProject } from './drawn-project.ts';

const SHAPE: DrawnShape = { stages: ['bare', 'treated'], decay_s: [0.5, 0.4], positions: 2, files: 3, claps: 2 };
const third = ({ stage, position, file }: { stage: number; position: number; file: number }) =>
  stage === 0 && position === 0 && file === 2;

describe('findOutliers(readings)', () => {
  it('names nothing in 498 of 500 clean projects or more, as its significance says', () => {
    const random = new SeededRandom(11);
    let named = 0;
    for (let i = 0; i < 500; i++) {
      const shape = { ...SHAPE, positions: 1 + (i % 3), files: 1 + (i % 4), claps: 1 + (i % 2) * 2 };
      if (findOutliers(drawnProject(random, shape)).length > 0) named++;
    }
    expect(named).toBeLessThanOrEqual(2);
  });

  it('names the take of another position, and which', () => {
    const random = new SeededRandom(12);
    for (let i = 0; i < 20; i++) {
      const readings = drawnProject(random, SHAPE, (file) => (third(file) ? { position: 1 } : {}));
      const [outlier, ...more] = findOutliers(readings);
      expect(more).toEqual([]);
      expect(outlier).toMatchObject({ stage: 'bare', position: 'P0', takes: ['bare/P0/2.wav'] });
      expect(outlier!.fits).toEqual({ stage: 'bare', position: 'P1' });
    }
  });

  it('names the take of another stage, and which', () => {
    const readings = drawnProject(new SeededRandom(13), SHAPE, (file) => (third(file) ? { stage: 1 } : {}));
    const [outlier] = findOutliers(readings);
    expect(outlier).toMatchObject({ takes: ['bare/P0/2.wav'], fits: { stage: 'treated', position: 'P0' } });
    expect(outlier!.decay_percent).toBeLessThan(-10);
  });

  it('names the take in which everything decays 15 % longer, as through an open door, and by how much', () => {
    const readings = drawnProject(new SeededRandom(14), SHAPE, (file) => (third(file) ? { longer: 1.15 } : {}));
    const [outlier] = findOutliers(readings);
    expect(outlier!.takes).toEqual(['bare/P0/2.wav']);
    expect(outlier!.fits).toBeNull();
    expect(Math.abs(outlier!.decay_percent! - 15)).toBeLessThan(3);
    expect(outlier!.p_value).toBeLessThan(0.005);
  });

  it('names both where a place has only two that disagree', () => {
    const shape = { ...SHAPE, files: 2 };
    const readings = drawnProject(new SeededRandom(15), shape, ({ stage, position, file }) =>
      stage === 0 && position === 0 && file === 1 ? { longer: 1.15 } : {},
    );
    expect([...findOutliers(readings)[0]!.takes].sort()).toEqual(['bare/P0/0.wav', 'bare/P0/1.wav']);
  });

  it('looks at single responses where a place has one file', () => {
    const shape = { ...SHAPE, files: 1, claps: 4 };
    const readings = drawnProject(new SeededRandom(16), shape);
    const odd = readings.find(({ take }) => take === 'bare/P1/0.wav@2')!;
    odd.bands = odd.bands.map((band) => ({ ...band, tfull_s: band.tfull_s! * 1.2 }));
    expect(findOutliers(readings).map(({ takes }) => takes)).toEqual([['bare/P1/0.wav@2']]);
  });

  it('is not misled by one misread band', () => {
    const readings = drawnProject(new SeededRandom(17), SHAPE);
    const one = readings[0]!;
    one.bands = one.bands.map((band) => (band.centre_hz === 500 ? { ...band, tfull_s: band.tfull_s! * 2 } : band));
    expect(findOutliers(readings)).toEqual([]);
  });

  it('gives the same whatever the order of the readings', () => {
    const readings = drawnProject(new SeededRandom(18), SHAPE, (file) => (third(file) ? { longer: 1.2 } : {}));
    expect(findOutliers([...readings].reverse())).toEqual(findOutliers(readings));
  });

  it('says nothing of no readings, or one', () => {
    const readings = drawnProject(new SeededRandom(19), SHAPE);
    expect(findOutliers([])).toEqual([]);
    expect(findOutliers(readings.slice(0, 1))).toEqual([]);
  });
});

describe('an outlier among takes that agree to the last figure', () => {
  const BANDS_HZ = [250, 500, 1000, 2000, 4000];
  /** Some files of two claps at each place; the second file of P0 is P2's. P1 and P3 are near P2, though not the same. */
  function project(quantity: 'tfull_s' | 't20_s', files = 3): ReadingAt[] {
    const truth = [0.5, 0.603, 0.6, 0.603].map((decay_s, i) => ({ decay_s, c50_db: [9, 6.1, 6, 5.9][i]! }));
    return truth.flatMap((own, place) =>
      Array.from({ length: files }, (_, file) => file).flatMap((file) =>
        [0, 1].map((clap): ReadingAt => {
          const held = place === 0 && file === 1 ? truth[2]! : own;
          const bands = BANDS_HZ.map((centre_hz) =>
            bandReading({
              centre_hz,
              [quantity]: held.decay_s,
              tfull_standard_error_s: quantity === 'tfull_s' ? 0.02 * held.decay_s : null,
              c50_db: held.c50_db,
            }),
          );
          return { stage: 'bare', position: `P${place}`, take: `P${place}/${file}.wav@${clap}`, bands };
        }),
      ),
    );
  }

  it('is longer and less clear by what it is, and fits the place it was made at', () => {
    for (const quantity of ['tfull_s', 't20_s'] as const) {
      const [found, ...others] = findOutliers(project(quantity));
      expect(others).toEqual([]);
      expect(found).toMatchObject({ position: 'P0', takes: ['P0/1.wav'], fits: { stage: 'bare', position: 'P2' } });
      expect(found!.decay_percent).toBeCloseTo(20, 9);
      expect(found!.clarity_db).toBeCloseTo(-3, 9);
    }
  });

  it('of two files nobody knows which is wrong: both are named, the one that fits elsewhere first', () => {
    const [found, ...others] = findOutliers(project('tfull_s', 2));
    expect(others).toEqual([]);
    expect(found).toMatchObject({ position: 'P0', takes: ['P0/1.wav', 'P0/0.wav'], fits: { position: 'P2' } });
    expect(found!.decay_percent).toBeCloseTo(20, 9);
  });

  it('that is like no other place fits none', () => {
    const odd = project('tfull_s').map((reading) =>
      reading.take.startsWith('P0/1')
        ? { ...reading, bands: reading.bands.map((band) => ({ ...band, tfull_s: 0.9, c50_db: 1 })) }
        : reading,
    );
    expect(findOutliers(odd)).toMatchObject([{ takes: ['P0/1.wav'], fits: null }]);
    expect(findOutliers(odd.filter(({ position }) => position === 'P0'))).toMatchObject([{ fits: null }]);
  });

  it('is told from octaves of 250 Hz to 4 kHz alone', () => {
    const plain = findOutliers(project('tfull_s'));
    const noisy = project('tfull_s').map((reading, i) => ({
      ...reading,
      bands: [
        ...reading.bands,
        bandReading({ centre_hz: 125, tfull_s: 0.3 + i, tfull_standard_error_s: 0.01, c50_db: i }),
        bandReading({
          centre_hz: 1000,
          width: 'third-octave',
          tfull_s: 0.3 + i,
          tfull_standard_error_s: 0.01,
          c50_db: i,
        }),
      ],
    }));
    expect(findOutliers(noisy)).toEqual(plain);
    expect(findOutliers(noisy.toReversed())).toEqual(plain);
  });
});
