import { describe, expect, test } from 'vitest';
import type { Cells } from '../../src/room/cells.ts';
import { type DecayModel, decayPower } from '../../src/room/decay-model.ts';
import { bendOf, excess, scatterAbout } from '../../src/room/fit-check.ts';
import { fitDecay } from '../../src/room/likelihood.ts';
import { rateOf } from './decay-from-power.ts';

const MODEL: DecayModel = { slopes: [{ amplitude: 2, rate: rateOf(0.4) }], noise: 1e-3 };

/** Cells with the powers of a model, each times what is given for it. */
function cellsOf(model: DecayModel, times: readonly number[], width_s = 0.01): Cells {
  const time_s = Float64Array.from(times, (_, i) => (i + 0.5) * width_s);
  return {
    time_s,
    width_s: time_s.map(() => width_s),
    power: time_s.map((t, i) => (decayPower(model, t) + model.noise) * times[i]!),
  };
}

const repeated = (count: number, ...values: number[]) =>
  Array.from({ length: count }, (_, i) => values[i % values.length]!);

describe('the scatter about a fit is Pearson’s statistic over its degrees of freedom', () => {
  // Each cell at 400 Hz has the shape 4, so that its relative residual has the variance 1/4.
  const options = { bandwidth_hz: 400, until_s: 1 };

  test('one cell a group where that is wide enough', () => {
    const found = scatterAbout(MODEL, cellsOf(MODEL, repeated(12, 1.5, 0.5)), options);
    expect(found.groups).toBe(12);
    expect(found.dispersion).toBeCloseTo((12 * 4 * 0.25) / (12 - 2), 9);
  });

  test('of narrow or of many cells the residuals are added first', () => {
    const narrow = scatterAbout(MODEL, cellsOf(MODEL, repeated(12, 1.5, 0.7)), { ...options, bandwidth_hz: 200 });
    expect(narrow.groups).toBe(6);
    expect(narrow.dispersion).toBeCloseTo((6 * (2 * 0.5 - 2 * 0.3) ** 2) / 4 / (6 - 2), 9);
    const many = scatterAbout(MODEL, cellsOf(MODEL, repeated(48, 1.5, 0.5)), options);
    expect(many).toEqual({ groups: 24, dispersion: expect.closeTo(0, 9) });
  });

  test('two slopes take four parameters', () => {
    const two = { ...MODEL, slopes: [...MODEL.slopes, { amplitude: 0.1, rate: rateOf(1) }] };
    const found = scatterAbout(two, cellsOf(two, repeated(12, 1.5, 0.5)), options);
    expect(found.dispersion).toBeCloseTo((12 * 4 * 0.25) / (12 - 4), 9);
  });

  test('what lies past the decay is not counted, and too few groups tell nothing', () => {
    const cells = cellsOf(MODEL, [...repeated(8, 1.5, 0.5), ...repeated(8, 50)]);
    expect(scatterAbout(MODEL, cells, { ...options, until_s: 0.08 })).toEqual({
      groups: 8,
      dispersion: expect.closeTo((8 * 4 * 0.25) / 6, 9),
    });
    for (const until_s of [0, 0.01, 0.02]) {
      expect(scatterAbout(MODEL, cells, { ...options, until_s })).toEqual({ dispersion: 1, groups: 0 });
    }
    expect(scatterAbout(MODEL, cells, { ...options, until_s: 0.03 }).groups).toBe(3);
  });
});

test('a dispersion counts where it is two standard deviations over 1: with 8 groups, over 2', () => {
  // The mean square of n normal deviates has the variance 2 / n.
  expect(excess({ dispersion: 2.01, groups: 8 })).toBe(2.01);
  expect(excess({ dispersion: 1.99, groups: 8 })).toBe(1);
  expect(excess({ dispersion: 1.99, groups: 9 })).toBe(1.99);
  expect(excess({ dispersion: 0.5, groups: 200 })).toBe(1);
  expect(excess({ dispersion: 5, groups: 0 })).toBe(1);
});

describe('the bend of a decay', () => {
  const until_s = 0.4;
  /** Cells of 0.1 ms, in which the decay falls by little. */
  const bent = (bend: number) => {
    const count = 4000;
    const width_s = until_s / count;
    const change = (_: unknown, i: number) => {
      const t = (i + 0.5) * width_s;
      const decay = decayPower(MODEL, t);
      return (decay * Math.exp(-bend * (t / (until_s / 2) - 1) ** 2) + MODEL.noise) / (decay + MODEL.noise);
    };
    return cellsOf(MODEL, Array.from({ length: count }, change), width_s);
  };
  const of = (cells: Cells, bandwidth_hz = 40_000) =>
    bendOf(cells, fitDecay(cells, MODEL, bandwidth_hz)!, { bandwidth_hz, until_s });

  test('is none of an exponential', () => {
    expect(of(bent(0)).statistic).toBeLessThan(1e-4);
    expect(Math.abs(of(bent(0)).share)).toBeLessThan(1e-3);
  });

  test.each([0.002, -0.002])('is read as it was made, in share of the rate: %f', (bend) => {
    // Log-power -c (t/m - 1)^2 has at 3/2 m the slope -c/m beyond that of the middle.
    expect(of(bent(bend)).share / (bend / (until_s / 2) / MODEL.slopes[0]!.rate)).toBeCloseTo(1, 1);
  });

  test('is the surer, the wider the band and, by its square, the stronger it is', () => {
    const plain = of(bent(0.02)).statistic;
    expect(plain).toBeGreaterThan(0);
    expect(of(bent(0.02), 80_000).statistic / plain).toBeCloseTo(2, 6);
    expect(of(bent(0.04)).statistic / plain).toBeCloseTo(4, 0);
  });

  test('cannot be told apart from the amplitude where all cells lie at one time', () => {
    const at = (value: number) => Float64Array.from([value, value, value]);
    const cells = { time_s: at(0.1), width_s: at(0.01), power: at(3) };
    const model = { ...MODEL, noise: 0 };
    // The information of the amplitude is the number of cells times their shape, here 4; that of the rate is not asked for.
    const covariance = Float64Array.from([1 / 12, 0, 0, 0]);
    const fit = { model, covariance, size: 2, log_likelihood: 0, converged: true };
    expect(bendOf(cells, fit, { bandwidth_hz: 400, until_s })).toEqual({ statistic: 0, share: 0 });
  });
});
