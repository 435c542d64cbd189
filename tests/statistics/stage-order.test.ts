import { describe, expect, it } from 'vitest';
import { swappedStages } from '../../src/statistics/stage-order.ts';
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
