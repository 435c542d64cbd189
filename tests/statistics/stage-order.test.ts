import { describe, expect, it } from 'vitest';
import type { ReadingAt } from '../../src/statistics/cells.ts';
import { swappedStages } from '../../src/statistics/stage-order.ts';
import { bandReading } from '../bench/coverage-drawn.ts';
import { SeededRandom } from '../bench/coverage-random.ts';
import { type DrawnShape, drawnProject } from './drawn-project.ts';

const SHAPE: DrawnShape = { stages: ['bare', 'treated'], decay_s: [0.5, 0.4], positions: 3, files: 2, claps: 2 };
const PAIR = { from: 'bare', to: 'treated', absorbing: true, looks: 1 };
const swapAt =
  (...positions: number[]) =>
  ({ stage, position }: { stage: number; position: number }) =>
    positions.includes(position) ? { stage: 1 - stage } : {};

describe('swappedStages(readings, pair)', () => {
  it('accuses fewer than 1 % of projects whose folders are right, the change being small or large', () => {
    const random = new SeededRandom(21);
    let named = 0;
    for (let i = 0; i < 1000; i++) {
      const decay_s = [0.5, 0.5 * random.between(0.6, 1)];
      const readings = drawnProject(random, { ...SHAPE, decay_s, positions: 1 + (i % 3) });
      if (swappedStages(readings, PAIR) !== null) named++;
    }
    expect(named).toBeLessThan(10);
  });

  it('names the one position of three at which the two stages lie in each other’s folder', () => {
    const random = new SeededRandom(22);
    for (let i = 0; i < 20; i++) {
      const found = swappedStages(drawnProject(random, SHAPE, swapAt(1)), PAIR);
      expect(found).toMatchObject({ positions: ['P1'], all: false });
      expect(found!.percent).toBeGreaterThan(10);
      expect(found!.others_percent).toBeLessThan(-10);
    }
  });

  it('of two positions names the one that rings longer with more absorption', () => {
    const readings = drawnProject(new SeededRandom(23), { ...SHAPE, positions: 2 }, swapAt(0));
    expect(swappedStages(readings, PAIR)).toMatchObject({ positions: ['P0'], all: false });
  });

  it('names all positions where everything rings longer though material that absorbs was added', () => {
    const readings = drawnProject(new SeededRandom(24), SHAPE, swapAt(0, 1, 2));
    expect(swappedStages(readings, PAIR)).toMatchObject({ all: true, positions: ['P0', 'P1', 'P2'] });
  });

  it('says nothing of a longer decay where nothing that absorbs was added', () => {
    const readings = drawnProject(new SeededRandom(25), SHAPE, swapAt(0, 1, 2));
    expect(swappedStages(readings, { ...PAIR, absorbing: false })).toBeNull();
  });

  it('says nothing where the stages share no position', () => {
    const readings = drawnProject(new SeededRandom(26), SHAPE).filter(
      ({ stage, position }) => (stage === 'bare') === (position === 'P0'),
    );
    expect(swappedStages(readings, PAIR)).toBeNull();
  });
});

describe('limits of swappedStages', () => {
  const BANDS_HZ = [250, 500, 1000, 2000, 4000];
  /** One reading in each stage at a place whose decay changes by this much in ln(after / before), known to 10 % each. */
  function place(position: string, change: number, quantity: 'tfull_s' | 't20_s' = 'tfull_s'): ReadingAt[] {
    return (['bare', 'treated'] as const).map((stage) => {
      const value = 0.5 * Math.exp(stage === 'treated' ? change : 0);
      const bands = BANDS_HZ.map((centre_hz) =>
        bandReading({
          centre_hz,
          [quantity]: value,
          tfull_standard_error_s: quantity === 'tfull_s' ? 0.1 * value : null,
        }),
      );
      return { stage, position, take: `${stage}${position}`, bands };
    });
  }
  const three = (odd: number, others: number) => [...place('C', others), ...place('B', odd), ...place('A', others)];
  /** So few looks that chance is out of the question. */
  const SURE = { ...PAIR, looks: 1e-9 };

  it('divides the probability by the looks and the positions: called until it reaches 0.002', () => {
    // 0.4 apart in five bands; variance 1.4^2 times (0.02 + 0.04 / 4): F = 0.16 / 0.0588, scipy.stats.f.sf(F, 5, 20) = 0.0493777.
    const most = 0.002 / 0.04937772048866124 / 3;
    const found = swappedStages(three(0.2, -0.2), { ...PAIR, looks: most * 0.999999 })!;
    expect(found).toMatchObject({ from: 'bare', to: 'treated', positions: ['B'], all: false });
    expect(found.percent).toBeCloseTo(100 * (Math.exp(0.2) - 1), 9);
    expect(found.others_percent).toBeCloseTo(100 * (Math.exp(-0.2) - 1), 9);
    expect(swappedStages(three(0.2, -0.2), { ...PAIR, looks: most * 1.000001 })).toBeNull();
  });

  it('names a place only where it does the reverse of the others, not merely something else', () => {
    // 0.9 beyond the reverse: F = 0.81 / 0.0588, p far under 0.01.
    expect(swappedStages(three(1, -0.1), SURE)).toBeNull();
    expect(swappedStages(three(-0.6, -0.1), SURE)).toBeNull();
    expect(swappedStages(three(0.1, -0.1), SURE)).toMatchObject({ positions: ['B'] });
  });

  it('leaves changes of less than 0.05 alone, too small to tell their direction by', () => {
    expect(swappedStages(three(0.1, -0.051), SURE)).toMatchObject({ positions: ['B'] });
    expect(swappedStages(three(0.1, -0.049), SURE)).toBeNull();
    expect(swappedStages([...place('A', 0.051), ...place('B', 0.051)], SURE)).toMatchObject({ all: true });
    expect(swappedStages([...place('A', 0.049), ...place('B', 0.049)], SURE)).toBeNull();
  });

  it('calls the direction odd only where a change of place could not do it', () => {
    // 15 bands of 0.2 with variance 1.4^2 times 0.02: scipy.stats.f.sf(0.04 / 0.0392, 15, 20) = 0.4743132.
    const most = 0.002 / 0.4743131757135843;
    expect(swappedStages(three(0.2, 0.2), { ...PAIR, looks: most * 0.999999 })).toMatchObject({
      all: true,
      positions: ['A', 'B', 'C'],
      others_percent: null,
    });
    expect(swappedStages(three(0.2, 0.2), { ...PAIR, looks: most * 1.000001 })).toBeNull();
  });

  it('of two that go opposite ways names neither where nothing that absorbs was added', () => {
    const two = [...place('A', 0.3), ...place('B', -0.3)];
    expect(swappedStages(two, SURE)).toMatchObject({ positions: ['A'] });
    expect(swappedStages(two, { ...SURE, absorbing: false })).toBeNull();
    expect(swappedStages(three(-0.3, 0.3), { ...SURE, absorbing: false })).toMatchObject({ positions: ['B'] });
  });

  it('reads octaves from 250 Hz to 4 kHz alone, the 20 dB time where there is no other, and places both stages share', () => {
    const found = swappedStages(three(0.2, -0.2), SURE);
    const more = three(0.2, -0.2).map((reading) => ({
      ...reading,
      bands: [
        ...reading.bands.map((band) => ({ ...band, width: 'third-octave' as const, tfull_s: 9 })),
        bandReading({ centre_hz: 125, tfull_s: reading.stage === 'bare' ? 0.1 : 9, tfull_standard_error_s: 0.01 }),
        ...reading.bands,
      ],
    }));
    expect(swappedStages(more, SURE)).toEqual(found);
    expect(swappedStages([...three(0.2, -0.2), place('D', 5)[0]!, place('E', 5)[1]!], SURE)).toEqual(found);
    const by20 = [...place('A', -0.2, 't20_s'), ...place('B', 0.2, 't20_s'), ...place('C', -0.2, 't20_s')];
    expect(swappedStages(by20, SURE)!.percent).toBeCloseTo(100 * (Math.exp(0.2) - 1), 9);
    expect(swappedStages([], SURE)).toBeNull();
  });
});
