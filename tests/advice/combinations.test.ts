import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { whatNext } from '../../src/advice/what-next.ts';
import { airPowerCoefficient_per_m } from '../../src/room/air.ts';
import { predictedTime_s } from '../../src/room/prediction.ts';
import { distanceToTarget } from '../../src/room/target-distance.ts';
import { makeInput, OCTAVES_HZ } from './fixture.ts';

const BARE = [0.7, 0.65, 0.6, 0.6, 0.55, 0.5];
const flat = (alpha: number) => Object.fromEntries(OCTAVES_HZ.map((hz) => [hz, alpha]));

test('a set is found that greed would miss', () => {
  // Per money the first is best, yet with it nothing else fits the budget; the other two together do more.
  const options = [
    { name: 'bargain', area: 7, cost: 60, absorption: flat(0.9) },
    { name: 'half', area: 6, cost: 55, absorption: flat(0.85) },
    { name: 'other half', area: 5, cost: 45, absorption: flat(0.85) },
  ];
  const advice = whatNext(makeInput(BARE, BARE, { project: { options }, budget: 100 }));
  expect(advice.options[0]!.name).toBe('bargain');
  const closest = advice.combinations.found.at(-1)!;
  expect(closest.options).toEqual([1, 2]);
  expect(closest.cost).toBe(100);
});

describe('beside an exhaustive count written apart', () => {
  const volume_m3 = 5.2 * 3.6 * 2.6;
  const surface_m2 = 2 * (5.2 * 3.6 + 5.2 * 2.6 + 3.6 * 2.6);
  const anyOption = fc.record({
    name: fc.constant('panel'),
    area: fc.integer({ min: 1, max: 8 }),
    cost: fc.integer({ min: 10, max: 300 }),
    absorption: fc.constantFrom(flat(0.3), flat(0.6), flat(0.95), { ...flat(0.5), 250: 0.1, 4000: 0.9 }),
  });
  test('no other set within the limits makes up more, and none within tolerance costs less', () => {
    fc.assert(
      fc.property(
        fc.array(anyOption, { minLength: 1, maxLength: 6 }),
        fc.integer({ min: 50, max: 900 }),
        (options, budget) => {
          const input = makeInput(BARE, BARE, { project: { options }, budget, free_area_m2: 18 });
          const advice = whatNext(input);
          const judged = advice.distance;
          let most = 0;
          let least = Number.POSITIVE_INFINITY;
          for (let mask = 1; mask < 1 << options.length; mask++) {
            const chosen = options.filter((_, index) => (mask >> index) & 1);
            const cost = chosen.reduce((sum, entry) => sum + entry.cost, 0);
            const area = chosen.reduce((sum, entry) => sum + entry.area, 0);
            if (cost > budget || area > 18) continue;
            const after = judged.map((band) => {
              const key = String(band.centre_hz) as keyof (typeof chosen)[0]['absorption'];
              const gain = chosen.reduce((sum, entry) => sum + entry.area * (entry.absorption[key] as number), 0);
              const air_per_m = airPowerCoefficient_per_m(band.centre_hz, { temperature_c: 20, humidity_percent: 50 });
              return predictedTime_s({ volume_m3, surface_m2, speed_m_s: 343, air_per_m, now_s: band.now_s }, gain);
            });
            if (after.some((time_s, index) => time_s < judged[index]!.low_s)) continue;
            const still = distanceToTarget({
              volume_m3,
              speed_m_s: 343,
              now: judged.map(({ centre_hz }, index) => ({
                centre_hz,
                time_s: after[index]!,
                standard_uncertainty_s: 0,
                expanded_uncertainty_s: 0,
              })),
              target: judged,
            });
            const closed = judged.map((band, index) => band.missing_m2 - Math.max(0, still[index]!.missing_m2));
            most = Math.max(most, closed.reduce((sum, value) => sum + value, 0) / judged.length);
            if (after.every((time_s, index) => time_s <= judged[index]!.high_s)) least = Math.min(least, cost);
          }
          const { found } = advice.combinations;
          if (most < 0.1) {
            expect(found).toEqual([]);
            return;
          }
          expect(Math.abs(found.at(-1)!.closes_m2 - most)).toBeLessThanOrEqual(0.05 + 1e-9);
          const within = found.find(({ kind }) => kind === 'least-cost');
          expect(within?.cost ?? Number.POSITIVE_INFINITY).toBe(least);
        },
      ),
      { numRuns: 60 },
    );
  });
});

test('seventeen options are more than are searched exactly, and that is said', () => {
  const options = Array.from({ length: 17 }, () => ({ name: 'panel', area: 1, cost: 10, absorption: flat(0.5) }));
  expect(whatNext(makeInput(BARE, BARE, { project: { options } })).combinations.reason).toBe('too-many-options');
});

test('sixteen are searched', () => {
  const options = Array.from({ length: 16 }, (_, index) => ({
    name: 'panel',
    area: 1,
    cost: 10 + index,
    absorption: flat(0.2),
  }));
  expect(whatNext(makeInput(BARE, BARE, { project: { options }, free_area_m2: 4 })).combinations.reason).toBe(
    'searched',
  );
});

test('where the target is met there is nothing to search', () => {
  const met = [0.6, 0.2, 0.2, 0.2, 0.2, 0.2];
  const options = [{ name: 'panel', area: 4, cost: 10, absorption: flat(0.5) }];
  const advice = whatNext(makeInput(BARE, met, { project: { options } }));
  expect(advice.combinations).toMatchObject({ found: [], reason: 'not-called-for' });
  expect(advice.options[0]!.reasons).toContain('target-met');
});
