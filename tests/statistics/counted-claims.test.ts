import { expect, test } from 'vitest';
import { countedClaims, PLAN_CLAIMS, USUAL_PRACTICE_CLAIMS } from '../../src/statistics/counted-claims.ts';
import { bandwidthHz } from '../../src/statistics/spread-floor.ts';
import { falseClaimsOfUsualPractice } from '../../src/statistics/usual-practice.ts';

test('what was counted of the usual practice agrees with theory, band by band', () => {
  for (const { centre_hz, claims_percent, pairs } of USUAL_PRACTICE_CLAIMS) {
    const share = falseClaimsOfUsualPractice({
      decay_s: 0.3,
      bandwidth_hz: bandwidthHz('octave', centre_hz),
      least_percent: 5,
    });
    // Three binomial errors, and a point for rounding. At the same place the stages' correlation lowers the count, noise and
    // overdispersion raise it: 5 points for the two.
    const error = 300 * Math.sqrt((share * (1 - share)) / pairs) + 1 + 5;
    expect(Math.abs(claims_percent - 100 * share), `${centre_hz} Hz`).toBeLessThan(error);
  }
});

test('no counted plan claims more than one in twenty, in bands or headlines', () => {
  for (const plan of PLAN_CLAIMS) {
    expect(plan.band_claims_percent).toBeLessThan(5);
    expect(plan.headline_claims_percent).toBeLessThan(5);
  }
});

test('countedClaims takes the nearest counted plan that asks no more', () => {
  const at = (positions: number, responses_per_position: number) => {
    const plan = countedClaims({ positions, responses_per_position });
    return [plan.positions, plan.responses_per_position];
  };
  expect(at(1, 2)).toEqual([1, 1]);
  expect(at(4, 5)).toEqual([3, 3]);
  expect(at(12, 12)).toEqual([6, 6]);
  expect(() => countedClaims({ positions: 0, responses_per_position: 1 })).toThrow(/a plan needs/);
});
