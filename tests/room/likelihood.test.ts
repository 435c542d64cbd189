import { expect, test } from 'vitest';
import type { Cells } from '../../src/room/cells.ts';
import { fitDecay, fitWithOrWithoutNoise, inverse, scoreOfSecondSlope } from '../../src/room/likelihood.ts';
import { rateOf } from './decay-from-power.ts';
import { gaussianStream } from './simulated-response.ts';

/** Cells of a decay of 0.3 s, range 50 dB, bandwidth 200 Hz; with a seed, energies drawn from the chi-square they should have. */
function cellsOf(seed: number | null, width_s = 0.005): Cells {
  const count = Math.round(0.5 / width_s);
  const draw = seed === null ? null : gaussianStream(seed);
  const degrees = Math.round(2 * 200 * width_s);
  const time_s = Float64Array.from({ length: count }, (_, i) => (i + 0.5) * width_s);
  const half = (rateOf(0.3) * width_s) / 2;
  const power = time_s.map((t) => {
    const mean = Math.exp(-rateOf(0.3) * t) * (Math.sinh(half) / half) + 1e-5;
    if (!draw) return mean;
    let sum = 0;
    for (let i = 0; i < degrees; i++) sum += draw() ** 2;
    return (mean * sum) / degrees;
  });
  return { time_s, width_s: new Float64Array(count).fill(width_s), power };
}
const START = { slopes: [{ amplitude: 0.5, rate: rateOf(0.45) }], noise: 3e-5 };

test('fitDecay finds the very parameters of cells that follow the model', () => {
  const { model, converged } = fitDecay(cellsOf(null), START, 200)!;
  expect(converged).toBe(true);
  expect(rateOf(1) / model.slopes[0]!.rate).toBeCloseTo(0.3, 6);
  expect(model.slopes[0]!.amplitude).toBeCloseTo(1, 5);
  expect(model.noise * 1e5).toBeCloseTo(1, 5);
});

/** The slow twin: the log-likelihood as its definition says, searched on a grid around the maximum. */
test('fitDecay stands at the maximum of the likelihood, searched by hand', () => {
  const cells = cellsOf(7);
  const value = (amplitude: number, rate: number, noise: number) => {
    let sum = 0;
    cells.power.forEach((power, i) => {
      const half = (rate * cells.width_s[i]!) / 2;
      const mean = amplitude * Math.exp(-rate * cells.time_s[i]!) * (Math.sinh(half) / half) + noise;
      sum -= 200 * cells.width_s[i]! * (Math.log(mean) + power / mean);
    });
    return sum;
  };
  const fit = fitDecay(cells, START, 200)!;
  const { amplitude, rate } = fit.model.slopes[0]!;
  const top = value(amplitude, rate, fit.model.noise);
  expect(fit.log_likelihood).toBeCloseTo(top, 6);
  for (const a of [0.99, 1, 1.01]) {
    for (const r of [0.998, 1, 1.002]) {
      for (const n of [0.98, 1, 1.02]) {
        expect(value(a * amplitude, r * rate, n * fit.model.noise)).toBeLessThanOrEqual(top + 1e-6);
      }
    }
  }
});

// Chi-square cells are what the model assumes, so the inverse Fisher information is the spread (Cramer and Rao): over 400
// draws the ratio of spreads has a standard deviation of 3.5 %, and the mean one of 5 % of the spread.
test('over 400 draws the stated standard error is the spread, and the mean is the truth', () => {
  let [sum, squares, stated] = [0, 0, 0];
  for (let seed = 1; seed <= 400; seed++) {
    const fit = fitDecay(cellsOf(seed), START, 200)!;
    const error = Math.log(fit.model.slopes[0]!.rate / rateOf(0.3));
    sum += error / 400;
    squares += error ** 2 / 400;
    stated += Math.sqrt(fit.covariance[fit.size + 1]!) / 400;
  }
  const spread = Math.sqrt(squares - sum ** 2);
  expect(spread / stated).toBeGreaterThan(0.9);
  expect(spread / stated).toBeLessThan(1.1);
  expect(Math.abs(sum)).toBeLessThan(0.15 * spread);
});

test('a gain of 40 dB moves the amplitude and the noise, nothing else', () => {
  const cells = cellsOf(9);
  const louder = { ...cells, power: cells.power.map((power) => 1e4 * power) };
  const [plain, loud] = [fitDecay(cells, START, 200)!, fitDecay(louder, START, 200)!];
  expect(loud.model.slopes[0]!.rate).toBeCloseTo(plain.model.slopes[0]!.rate, 2);
  expect(loud.model.noise / plain.model.noise / 1e4).toBeCloseTo(1, 4);
});

test('where the decay fills the samples, the noise is left out', () => {
  const cells = cellsOf(null);
  const early = {
    time_s: cells.time_s.subarray(0, 30),
    width_s: cells.width_s.subarray(0, 30),
    power: cells.power.subarray(0, 30).map((power) => power - 1e-5),
  };
  const fit = fitWithOrWithoutNoise(early, START, 200)!;
  expect(rateOf(1) / fit.model.slopes[0]!.rate).toBeCloseTo(0.3, 3);
});

test('inverse times the matrix is one; a singular matrix has none', () => {
  const matrix = Float64Array.from([4, 1, 0.5, 1, 3, 0.2, 0.5, 0.2, 2]);
  const found = inverse(matrix, 3)!;
  for (let r = 0; r < 3; r++) {
    for (let c = 0; c < 3; c++) {
      let sum = 0;
      for (let k = 0; k < 3; k++) sum += matrix[3 * r + k]! * found[3 * k + c]!;
      expect(sum).toBeCloseTo(r === c ? 1 : 0, 12);
    }
  }
  expect(inverse(Float64Array.from([1, 2, 2, 4]), 2)).toBeNull();
});

test('inverse exchanges rows where a pivot is nought or small', () => {
  const of = (...values: number[]) => [...inverse(Float64Array.from(values), Math.sqrt(values.length))!];
  expect(of(0, 2, 0, 1, 0, 0, 0, 0, 4)).toEqual([0, 1, 0, 0.5, 0, 0, 0, 0, 0.25]);
  expect(of(0, 0, 2, 4, 0, 0, 0, 5, 0)).toEqual([0, 0.25, 0, 0, 0, 0.2, 0.5, 0, 0]);
  expect(of(1e-20, 1, 1, 1)).toEqual([-1, 1, 1, 0].map((value) => expect.closeTo(value, 12)));
  const cyclic = of(1, 2, 3, 2, 4, 1, 5, 3, 2);
  // By cofactors; the determinant is -35.
  expect(cyclic).toEqual([5, 5, -10, 1, -13, 5, -14, 7, 0].map((cofactor) => expect.closeTo(cofactor / -35, 12)));
});

test('the score of a second slope is null where it would take power away', () => {
  const cells = cellsOf(null);
  const fit = fitDecay(cells, START, 200)!;
  const times = (factor: (t: number) => number) => ({
    ...cells,
    power: cells.power.map((p, i) => p * factor(cells.time_s[i]!)),
  });
  const score = (seen: Cells, decay_s: number) =>
    scoreOfSecondSlope(seen, fit, { rate: rateOf(decay_s), bandwidth_hz: 200 });
  expect(
    score(
      times((t) => 1 + t),
      0.6,
    )!.amplitude,
  ).toBeGreaterThan(0);
  expect(
    score(
      times((t) => 1 - t),
      0.6,
    ),
  ).toBeNull();
});
