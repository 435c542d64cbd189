import fc from 'fast-check';
import { expect, test } from 'vitest';
import { absorptionChange, type TimedStage } from '../../src/room/absorption-change.ts';
import { soundSpeed } from '../../src/room/sound-speed.ts';

const stage = (time_s: number, temperature_c = 20, humidity_percent: number | null = null): TimedStage => ({
  time_s,
  standard_uncertainty_s: 0,
  dof: null,
  temperature_c,
  humidity_percent,
});

// ISO 354:2003, 8.1.2, formulas (5) to (8), computed by hand: no worked example of the standard is known to us.
test('two times of a reverberation room give the area and coefficient of the specimen', () => {
  const change = absorptionChange({ volume_m3: 200, centre_hz: 1000, before: stage(5), after: stage(3) });
  expect(change.area_m2).toBeCloseTo(4.2993, 3);
  expect(change.area_m2 / 10.8).toBeCloseTo(0.3981, 4);
  expect(change.air_term).toBe(false);
});

test('three degrees and ten per cent of humidity are a sixth of the result at 4 kHz', () => {
  const before = stage(2.5, 20, 50);
  const after = stage(1.8, 23, 60);
  expect(absorptionChange({ volume_m3: 200, centre_hz: 4000, before, after }).area_m2).toBeCloseTo(5.9535, 3);
  const dry = absorptionChange({
    volume_m3: 200,
    centre_hz: 4000,
    before: { ...before, humidity_percent: null },
    after,
  });
  expect(dry.area_m2).toBeCloseTo(4.9224, 3);
  expect(dry.air_term).toBe(false);
  const dryAfter = { ...after, humidity_percent: null };
  expect(absorptionChange({ volume_m3: 200, centre_hz: 4000, before, after: dryAfter })).toEqual(dry);
});

test('0.60 s down to 0.35 s in 48.672 m3 is 9.34 m2', () => {
  const change = absorptionChange({ volume_m3: 48.672, centre_hz: 500, before: stage(0.6), after: stage(0.35) });
  expect(change.area_m2).toBeCloseTo(9.3418, 3);
});

test('the uncertainty is the spread that random times and volumes give', () => {
  // The law of propagation (JCGM 100:2008, 5.1.2) against a difference quotient in each input.
  fc.assert(
    fc.property(
      fc.double({ min: 0.2, max: 1, noNaN: true }),
      fc.double({ min: 0.2, max: 1, noNaN: true }),
      fc.double({ min: 20, max: 200, noNaN: true }),
      (t1, t2, volume_m3) => {
        const at = (a: number, b: number, v: number) =>
          absorptionChange({ volume_m3: v, centre_hz: 2000, before: stage(a, 20, 50), after: stage(b, 22, 40) })
            .area_m2;
        const [u1, u2, uv] = [0.01 * t1, 0.02 * t2, 0.02];
        const h = 1e-5;
        const slope1 = (at(t1 + h, t2, volume_m3) - at(t1 - h, t2, volume_m3)) / (2 * h);
        const slope2 = (at(t1, t2 + h, volume_m3) - at(t1, t2 - h, volume_m3)) / (2 * h);
        const slopeV = (at(t1, t2, volume_m3 + h) - at(t1, t2, volume_m3 - h)) / (2 * h);
        // The doubt of the diffuse field is rectangular, 15 % of the gain on either side (JCGM 100:2008, 4.3.7).
        const field = (0.15 * at(t1, t2, volume_m3)) / Math.sqrt(3);
        const expected = Math.hypot(slope1 * u1, slope2 * u2, slopeV * uv * volume_m3, field);
        const got = absorptionChange({
          volume_m3,
          volume_relative_uncertainty: uv,
          centre_hz: 2000,
          before: { ...stage(t1, 20, 50), standard_uncertainty_s: u1 },
          after: { ...stage(t2, 22, 40), standard_uncertainty_s: u2 },
        });
        expect(Math.abs(got.standard_uncertainty_m2 / expected - 1)).toBeLessThan(1e-3);
      },
    ),
  );
});

test('where the times of both stages err together, what they share drops out of the difference', () => {
  // JCGM 100:2008, 5.2.2, formula (16): u^2 = u1^2 + u2^2 - 2 r u1 u2 for a difference. Times chosen so that both areas have the same
  // relative error, and equal times so that nothing else enters.
  const before = { ...stage(0.5), standard_uncertainty_s: 0.01 };
  const after = { ...stage(0.5), standard_uncertainty_s: 0.03 };
  const of = (correlation?: number) =>
    absorptionChange({ volume_m3: 50, centre_hz: 500, before, after, correlation }).standard_uncertainty_m2;
  // One time off by u shifts the area by 55.3 V u / (c T^2).
  const unit_m2 = ((55.3 * 50) / (soundSpeed(20) * 0.5 ** 2)) * 0.01;
  expect(of()).toBeCloseTo(unit_m2 * Math.sqrt(10), 9);
  expect(of(1)).toBeCloseTo(unit_m2 * 2, 9);
  expect(of(0.5)).toBeCloseTo(unit_m2 * Math.sqrt(7), 9);
});

test('a known surface adds the gap between the formulas of Sabine and Eyring as the half-width of a rectangle', () => {
  // JCGM 100:2008, 4.3.7; the gains by either formula from Kuttruff, Room Acoustics, ch. 5 (from memory), worked for exact times.
  const input = {
    volume_m3: 50,
    volume_relative_uncertainty: 0,
    centre_hz: 500,
    before: stage(0.6),
    after: stage(0.3),
  };
  const surface_m2 = 85;
  const bySabine = [0.6, 0.3].map((time_s) => (55.3 * 50) / (soundSpeed(20) * time_s));
  // Eyring: A/S is what Sabine's A stands for by A_Sabine = -S ln(1 - A/S).
  const byEyring = bySabine.map((area_m2) => surface_m2 * (1 - Math.exp(-area_m2 / surface_m2)));
  const gap_m2 = bySabine[1]! - bySabine[0]! - (byEyring[1]! - byEyring[0]!);
  const without = absorptionChange(input).standard_uncertainty_m2;
  const got = absorptionChange({ ...input, surface_m2 }).standard_uncertainty_m2;
  expect(got).toBeCloseTo(Math.hypot(without, gap_m2 / Math.sqrt(3)), 9);
  expect(gap_m2).toBeGreaterThan(1);
});

test('degrees of freedom combine by Welch and Satterthwaite, and stay infinite where all are', () => {
  const before = { ...stage(0.5), standard_uncertainty_s: 0.01, dof: 4 };
  const after = { ...stage(0.5), standard_uncertainty_s: 0.01, dof: 4 };
  // Two equal parts of four degrees each make eight; the volume adds nothing where the difference is nil.
  expect(absorptionChange({ volume_m3: 50, centre_hz: 500, before, after }).dof).toBeCloseTo(8, 9);
  expect(absorptionChange({ volume_m3: 50, centre_hz: 500, before: stage(0.5), after: stage(0.4) }).dof).toBeNull();
});
