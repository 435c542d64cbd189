import { describe, expect, test } from 'vitest';
import { type Cells, cutCells } from '../../src/room/cells.ts';
import { type DecayModel, decayPower } from '../../src/room/decay-model.ts';
import { fitDecay, scoreOfSecondSlope } from '../../src/room/likelihood.ts';
import { describeTwoSlopes, fitTwoSlopes } from '../../src/room/two-slopes.ts';
import { decayFromPower, rateOf } from './decay-from-power.ts';

const BANDWIDTH_HZ = 860;
const slope = (time_s: number, level_db = 0) => ({ amplitude: 10 ** (level_db / 10), rate: rateOf(time_s) });

/** Cells of a decay that follows its model without chance. */
function cellsOf(model: DecayModel, end_s = 1.5): Cells {
  const decay = decayFromPower((t) => decayPower(model, t) + model.noise, { rate_hz: 16_000, end_s });
  return cutCells(decay, { start_s: 0.02, crossing_s: 0.8 * end_s, end_s, bandwidth_hz: 700, slope_db_s: -200 });
}

/** The one slope that comes nearest. */
const oneOf = (cells: Cells, { slopes, noise }: DecayModel) =>
  fitDecay(cells, { slopes: slopes.slice(0, 1), noise }, BANDWIDTH_HZ)!;

describe('two slopes fitted to cells without chance', () => {
  test.each([
    [slope(0.3), slope(1, -20)],
    [slope(0.3), slope(0.6, -10)],
    [slope(0.15), slope(1.2, -25)],
    [slope(0.4), slope(0.8, -3)],
  ])('are the very ones they were made of, the faster first', (fast, slow) => {
    const model = { slopes: [fast, slow], noise: 1e-7 };
    const cells = cellsOf(model);
    const found = fitTwoSlopes(cells, oneOf(cells, model), BANDWIDTH_HZ)!;
    expect(found.converged).toBe(true);
    expect(found.model.slopes).toHaveLength(2);
    found.model.slopes.forEach(({ amplitude, rate }, i) => {
      expect(rate / model.slopes[i]!.rate).toBeCloseTo(1, 2);
      expect(amplitude / model.slopes[i]!.amplitude).toBeCloseTo(1, 1);
    });
    expect(found.log_likelihood).toBeGreaterThan(oneOf(cells, model).log_likelihood);
  });

  test('are not sought where one slope is all there is', () => {
    const model = { slopes: [slope(0.4)], noise: 1e-6 };
    const cells = cellsOf(model);
    expect(fitTwoSlopes(cells, oneOf(cells, model), BANDWIDTH_HZ)).toBeNull();
  });
});

describe('the score of a second slope', () => {
  const model = { slopes: [slope(0.3)], noise: 1e-6 };
  const seen = (amplitude: number, bandwidth_hz = BANDWIDTH_HZ, time_s = 0.6) => {
    const second = { amplitude, rate: rateOf(time_s) };
    const one = cellsOf(model);
    const two = cellsOf({ ...model, slopes: [...model.slopes, second] });
    return scoreOfSecondSlope(two, fitDecay(one, model, bandwidth_hz)!, { rate: second.rate, bandwidth_hz });
  };

  test('points to more power, never to less', () => {
    expect(seen(1e-3)!.amplitude).toBeGreaterThan(0);
    expect(seen(-1e-4)).toBeNull();
  });

  test('grows as the square of what is added, and as the bandwidth', () => {
    const plain = seen(1e-3)!;
    expect(seen(2e-3)!.statistic / plain.statistic).toBeCloseTo(4, 1);
    expect(seen(2e-3)!.amplitude / plain.amplitude).toBeCloseTo(2, 2);
    expect(seen(1e-3, 2 * BANDWIDTH_HZ)!.statistic / plain.statistic).toBeCloseTo(2, 2);
    expect(seen(1e-3, 2 * BANDWIDTH_HZ)!.amplitude / plain.amplitude).toBeCloseTo(1, 2);
  });
});

test('two slopes are told by their times, the level of the later and where they cross', () => {
  // 200 dB/s from 0 dB and 60 dB/s from -21 dB are alike after 0.15 s.
  expect(describeTwoSlopes({ slopes: [slope(0.3, 5), slope(1, -16)], noise: 0 })).toEqual({
    early_s: expect.closeTo(0.3, 9),
    late_s: expect.closeTo(1, 9),
    late_level_db: expect.closeTo(-21, 9),
    crossing_s: expect.closeTo(0.15, 9),
  });
});
