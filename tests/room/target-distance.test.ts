import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { sabineTime_s } from '../../src/room/absorption.ts';
import { distanceToTarget, targetState } from '../../src/room/target-distance.ts';

const band = { centre_hz: 500, target_s: 0.2, low_s: 0.15, high_s: 0.25 };
const reading = (time_s: number, expanded_uncertainty_s: number) => ({
  centre_hz: 500,
  time_s,
  standard_uncertainty_s: expanded_uncertainty_s / 2,
  expanded_uncertainty_s,
});

test('from 0.35 s to 0.20 s in 48.672 m3 at 20 C 16.8153 m2 are missing', () => {
  // 55.3 V / c (1/T_target - 1/T_now), ISO 354:2003, formula (5), computed by hand.
  const [distance] = distanceToTarget({
    volume_m3: 48.672,
    speed_m_s: 343,
    now: [reading(0.35, 0.01)],
    target: [band],
  });
  expect(distance!.missing_m2).toBeCloseTo(16.8153, 3);
  expect(distance!.difference_s).toBeCloseTo(0.15, 12);
  expect(distance!.state).toBe('too-long');
});

test('the absorption said to be missing, once added, brings Sabine to the target', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 0.1, max: 2, noNaN: true }),
      fc.double({ min: 0.1, max: 2, noNaN: true }),
      fc.double({ min: 10, max: 400, noNaN: true }),
      (now_s, target_s, volume_m3) => {
        const room = { volume_m3, speed_m_s: 343 };
        const target = [{ centre_hz: 500, target_s, low_s: target_s * 0.8, high_s: target_s * 1.2 }];
        const [distance] = distanceToTarget({ ...room, now: [reading(now_s, now_s / 10)], target });
        const now_m2 = (55.3 * volume_m3) / (343 * now_s);
        expect(sabineTime_s(now_m2 + distance!.missing_m2, room)).toBeCloseTo(target_s, 9);
        expect(distance!.missing_low_m2).toBeLessThanOrEqual(distance!.missing_m2);
        expect(distance!.missing_high_m2).toBeGreaterThanOrEqual(distance!.missing_m2);
        // Nearer to each other than doubles tell apart, the two times leave no sign.
        if (Math.abs(now_s / target_s - 1) > 1e-12) {
          expect(Math.sign(distance!.missing_m2)).toBe(Math.sign(now_s - target_s));
        }
      },
    ),
  );
});

describe('a state is claimed only where the whole interval allows it', () => {
  test.each([
    [0.3, 0.04, 'too-long'],
    [0.3, 0.06, 'unclear'],
    [0.2, 0.04, 'met'],
    [0.2, 0.06, 'unclear'],
    [0.1, 0.04, 'too-dead'],
    [0.1, 0.06, 'unclear'],
  ])('%d s with %d s either way: %s', (time_s, expanded_s, expected) => {
    expect(targetState(reading(time_s, expanded_s), band)).toBe(expected);
  });
});

test('too dead a room has less than nothing missing, and the tolerance counts from its near edge', () => {
  const input = { volume_m3: 50, speed_m_s: 343, target: [band] };
  const [dead] = distanceToTarget({ ...input, now: [reading(0.1, 0.01)] });
  expect(dead!.missing_m2).toBeLessThan(0);
  expect(dead!.missing_to_tolerance_m2).toBeLessThan(0);
  expect(dead!.missing_to_tolerance_m2).toBeGreaterThan(dead!.missing_m2);
  const [inside] = distanceToTarget({ ...input, now: [reading(0.22, 0.01)] });
  expect(inside!.missing_to_tolerance_m2).toBe(0);
  expect(distanceToTarget({ ...input, now: [{ ...reading(0.3, 0.01), centre_hz: 125 }] })).toEqual([]);
});
