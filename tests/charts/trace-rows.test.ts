import { describe, expect, it } from 'vitest';
import { curvePoints, earlyPoints } from '../../src/charts/trace-rows.ts';

const curve = (points: number, truncation_s: number) => ({
  width: 'octave' as const,
  centre_hz: 1000,
  step_s: 0.001,
  level_db: Array.from({ length: points }, (_, index) => -0.1 * index),
  noise_db: -60,
  truncation_s,
});

describe('curvePoints', () => {
  it('starts at time zero, ends where the integration was cut, and keeps the levels between', () => {
    const points = curvePoints(curve(600, 0.4));
    expect(points[0]).toEqual({ time_s: 0, level_db: -0 });
    expect(points.at(-1)!.time_s).toBeCloseTo(0.4, 12);
    for (const { time_s, level_db } of points) expect(level_db).toBeCloseTo(-100 * time_s, 9);
  });
  it('thins a long curve to some dozens of points', () =>
    expect(curvePoints(curve(60_000, 60)).length).toBeLessThanOrEqual(46));
  it('keeps a short curve whole', () => expect(curvePoints(curve(20, 1))).toHaveLength(20));
  it('draws nothing under the floor', () => {
    expect(Math.min(...curvePoints(curve(2000, 2)).map(({ level_db }) => level_db))).toBeGreaterThanOrEqual(-65);
  });
});

describe('earlyPoints', () => {
  const levels = Array.from({ length: 200 }, (_, index) => (index === 7 ? 0 : index === 61 ? -6 : -30));

  it('counts time from the direct sound, the highest point of the first 5 ms', () => {
    const points = earlyPoints({ step_s: 0.000125, level_db: levels });
    expect(points.find(({ level_db }) => level_db === 0)!.time_ms).toBeCloseTo(0, 9);
    expect(points.find(({ level_db }) => level_db === -6)!.time_ms).toBeCloseTo(54 * 0.125, 9);
  });
  it('keeps every peak when it thins', () => {
    for (const cell of [1, 2, 3, 7]) {
      const drawn = earlyPoints({ step_s: 0.000125, level_db: levels }, cell).map(({ level_db }) => level_db);
      expect(drawn).toContain(0);
      expect(drawn).toContain(-6);
    }
  });
  it('has no points where there is no curve', () =>
    expect(earlyPoints({ step_s: 0.000125, level_db: [] })).toEqual([]));
});
