import { expect, test } from 'vitest';
import { fitGridLine, fitLine } from '../../src/room/line.ts';
import { gaussianStream } from './simulated-response.ts';

// The worked line of JCGM 100:2008, H.3 (Table H.6, from memory):
// a thermometer's correction against its reading, referred to 20 degrees.
const READINGS_C = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511];
const CORRECTIONS_C = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16];

test('fitLine gives intercept -0.1712 and slope 0.00218 of the calibration in JCGM 100:2008, H.3', () => {
  const line = fitLine(
    READINGS_C.map((reading) => reading - 20),
    CORRECTIONS_C,
  )!;
  expect(line.intercept).toBeCloseTo(-0.1712, 4);
  expect(line.slope).toBeCloseTo(0.00218, 5);
});

test('fitGridLine is fitLine over evenly spaced values', () => {
  const draw = gaussianStream(3);
  for (const n of [2, 3, 10, 501]) {
    const y = Float64Array.from({ length: n }, (_, i) => 4 - 0.3 * i + draw());
    const [start, step] = [0.7, 0.025];
    const x = y.map((_, i) => start + i * step);
    const [grid, plain] = [fitGridLine(y, { start, step })!, fitLine(x, y)!];
    expect(grid.slope / plain.slope).toBeCloseTo(1, 9);
    expect(grid.intercept).toBeCloseTo(plain.intercept, 9);
    expect(grid.r_squared).toBeCloseTo(plain.r_squared, 9);
  }
});

test('no line through fewer than two points, nor where all x are equal', () => {
  expect(fitGridLine([1], { start: 0, step: 1 })).toBeNull();
  expect(fitLine([1], [2])).toBeNull();
  expect(fitLine([1, 1], [2, 3])).toBeNull();
});
