import { expect, test } from 'vitest';
import { fitDecay } from '../../src/room/likelihood.ts';
import { cellModel } from '../../src/statistics/cell-model.ts';
import { noiseShare } from '../../src/statistics/noise-share.ts';
import { fullRangeVariance, STATISTICAL_BANDWIDTH } from '../../src/statistics/spread-floor.ts';
import { SeededRandom } from '../bench/coverage-random.ts';

const SIXTY_DB = Math.log(1e6);

test('fullRangeVariance nears the bound of a decay cut off sharply at a known noise from above as the range grows', () => {
  // Closed form: 12 / (B t^3) (T / 13.8)^2, the least variance of the slope of a line through points of equal weight over a time t
  // (Kay, Estimation Theory, 1993, example 3.7). Noise that sets in gradually and must itself be fitted costs a few decibels of range,
  // which weigh less the more there are.
  let before = 1.25;
  for (const range_db of [40, 50, 60, 70, 90]) {
    const decay_s = 0.3;
    const bandwidth_hz = 710;
    const usable_s = (range_db / 60) * decay_s - 0.02;
    const bound = (12 / (STATISTICAL_BANDWIDTH * bandwidth_hz * usable_s ** 3)) * (decay_s / SIXTY_DB) ** 2;
    const spread = Math.sqrt(fullRangeVariance({ decay_s, bandwidth_hz, range_db }) / bound);
    expect(spread).toBeGreaterThan(1);
    expect(spread).toBeLessThan(before);
    before = spread;
  }
  expect(before).toBeLessThan(1.1);
});

test('cellModel predicts the spread of a maximum likelihood fit, and what two repeats at a place share of it', () => {
  const random = new SeededRandom(3);
  const [range_db, start_db, step_db] = [40, 4, 0.25];
  const cells = (1.5 * range_db - start_db) / step_db;
  const shape_per_cell = 1;
  const time_s = Float64Array.from({ length: cells }, (_, i) => start_db + (i + 0.5) * step_db);
  const width_s = new Float64Array(cells).fill(step_db);
  const rate = Math.LN10 / 10;
  const start = { slopes: [{ amplitude: 1, rate }], noise: 10 ** (-range_db / 10) };
  const complex = (power: number): [number, number] => [
    random.normal() * Math.sqrt(power / 2),
    random.normal() * Math.sqrt(power / 2),
  ];
  const fitted: [number, number][] = [];
  for (let draw = 0; draw < 400; draw++) {
    const room = Array.from(time_s, (t) => complex(Math.exp(-rate * t)));
    const pair = [0, 1].map(() => {
      const power = Float64Array.from(room, ([re, im]) => {
        const noise = complex(start.noise);
        return (re + noise[0]) ** 2 + (im + noise[1]) ** 2;
      });
      const fit = fitDecay({ time_s, width_s, power }, start, shape_per_cell / step_db)!;
      return Math.log(fit.model.slopes[0]!.rate / rate);
    });
    fitted.push([pair[0]!, pair[1]!]);
  }
  const average = (values: number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
  const centre = average(fitted.flat());
  const variance = average(fitted.flat().map((value) => (value - centre) ** 2));
  const covariance = average(fitted.map(([a, b]) => (a - centre) * (b - centre)));
  const model = cellModel({ range_db, start_db });
  // 400 pairs: a variance is good to about 6 % (one sigma), a share to about 0.04.
  const predicted = (model.variance * step_db) / shape_per_cell;
  expect(variance / predicted).toBeGreaterThan(0.8);
  expect(variance / predicted).toBeLessThan(1.2);
  expect(1 - covariance / variance).toBeGreaterThan(model.noise_share - 0.12);
  expect(1 - covariance / variance).toBeLessThan(model.noise_share + 0.12);
});

test('noiseShare falls as the decay stands higher over the noise, and stays a share', () => {
  let before = 1;
  for (let range_db = 15; range_db <= 90; range_db += 2.5) {
    const share = noiseShare(range_db);
    expect(share).toBeGreaterThan(0);
    expect(share).toBeLessThan(before);
    before = share;
  }
  expect(noiseShare(5)).toBe(noiseShare(15));
  expect(noiseShare(120)).toBe(noiseShare(90));
});
