import { describe, expect, test } from 'vitest';
import { exactMidband_hz } from '../../src/room/air.ts';
import { complex } from '../../src/room/complex.ts';
import {
  absorptionOfImpedance,
  diffuseAbsorption,
  diffuseMean,
  normalAbsorption,
  quarterWaveDepth_m,
  quarterWaveFrequency_hz,
} from '../../src/room/porous-layer.ts';

const OCTAVES_HZ = [125, 250, 500, 1000, 2000, 4000].map(exactMidband_hz);
const AIR_IMPEDANCE = 1.205 * 343;

describe('normal incidence, Delany and Bazley (1970) with the constants of Miki (1990)', () => {
  // Worked independently from the published formulas; density 1.205 kg/m3, c = 343 m/s.
  test.each([
    [12, 0, 30000, [0.006, 0.02, 0.058, 0.16, 0.398, 0.791]],
    [12, 50, 30000, [0.059, 0.2, 0.55, 0.945, 0.845, 0.987]],
    [12, 100, 30000, [0.171, 0.478, 0.891, 0.905, 0.881, 0.964]],
    [25, 0, 10000, [0.022, 0.06, 0.15, 0.354, 0.722, 0.937]],
    [50, 0, 10000, [0.067, 0.193, 0.487, 0.883, 0.982, 0.97]],
    [50, 50, 10000, [0.177, 0.497, 0.909, 0.966, 0.885, 0.997]],
    [50, 100, 10000, [0.335, 0.756, 0.997, 0.767, 0.932, 0.997]],
    [100, 0, 10000, [0.265, 0.624, 0.937, 0.947, 0.982, 0.991]],
  ])('%d mm with %d mm of air behind', (thickness_mm, gap_mm, flow_resistivity_pa_s_m2, expected) => {
    const layer = { thickness_m: thickness_mm / 1000, gap_m: gap_mm / 1000, flow_resistivity_pa_s_m2 };
    OCTAVES_HZ.forEach((frequency_hz, band) => {
      expect(Math.abs(normalAbsorption(layer, frequency_hz) - expected[band]!)).toBeLessThan(0.002);
    });
  });
});

describe('diffuse incidence', () => {
  test('no locally reacting surface takes in more than 0.951, at 1.567 times the impedance of air', () => {
    // Known maximum of the integral of Paris (1928) for a real impedance (Kuttruff, Room Acoustics, ch. 2; from memory).
    const of = (ratio: number) =>
      diffuseMean((cosine) => absorptionOfImpedance(complex(ratio * AIR_IMPEDANCE), cosine));
    expect(of(1.567)).toBeCloseTo(0.951, 3);
    expect(of(1.45)).toBeLessThan(of(1.567));
    expect(of(1.7)).toBeLessThan(of(1.567));
  });

  test('agrees with the closed form for a real impedance', () => {
    // Integral of Paris with zeta = r: 8/r^2 (1 + r - 2 ln(1 + r) - 1/(1 + r)) worked by hand from alpha = 4 r c / (1 + r c)^2.
    for (const r of [0.5, 1, 3, 10]) {
      const closed = (8 / r ** 2) * (1 + r - 2 * Math.log(1 + r) - 1 / (1 + r));
      const got = diffuseMean((cosine) => absorptionOfImpedance(complex(r * AIR_IMPEDANCE), cosine));
      expect(Math.abs(got - closed)).toBeLessThan(0.0005);
    }
  });

  test('is a mean: what takes in the same at every angle takes in that of the whole field', () => {
    // The integral of sin 2 theta from 0 to 90 degrees is 1; Simpson's rule with 90 steps has an error of (pi/90)^4 / 180 (textbook).
    expect(Math.abs(diffuseMean(() => 1) - 1)).toBeLessThan((Math.PI / 90) ** 4 / 90);
  });

  // Worked independently in Python by transfer matrices of layer and gap, refracted waves, scipy's quad over the angle.
  test.each([
    [50, 0, 10000, [0.1407, 0.3265, 0.5904, 0.828, 0.9299, 0.9534]],
    [50, 100, 10000, [0.2718, 0.5943, 0.8531, 0.8682, 0.9332, 0.9543]],
    [25, 50, 20000, [0.092, 0.2709, 0.5931, 0.8526, 0.8685, 0.9332]],
    [100, 100, 20000, [0.6053, 0.7957, 0.8623, 0.9157, 0.9389, 0.9507]],
  ])('%d mm with %d mm of air behind', (thickness_mm, gap_mm, flow_resistivity_pa_s_m2, expected) => {
    const layer = { thickness_m: thickness_mm / 1000, gap_m: gap_mm / 1000, flow_resistivity_pa_s_m2 };
    OCTAVES_HZ.forEach((frequency_hz, band) => {
      expect(Math.abs(diffuseAbsorption(layer, frequency_hz) - expected[band]!)).toBeLessThan(0.0006);
    });
  });

  test('a layer takes in more of a diffuse field than of a plane wave in the bass', () => {
    const layer = { thickness_m: 0.05, gap_m: 0, flow_resistivity_pa_s_m2: 10000 };
    expect(diffuseAbsorption(layer, 250)).toBeGreaterThan(normalAbsorption(layer, 250));
  });

  test('stays between 0 and 1, gap resonances and grazing waves included', () => {
    for (const gap_m of [0, 0.05, 0.3]) {
      for (const frequency_hz of OCTAVES_HZ) {
        const alpha = diffuseAbsorption({ thickness_m: 0.025, gap_m, flow_resistivity_pa_s_m2: 20000 }, frequency_hz);
        expect(alpha).toBeGreaterThan(0);
        expect(alpha).toBeLessThan(1);
      }
    }
  });
});

test('a quarter wavelength: 86 mm at 1 kHz, and what layers of 12 to 100 mm reach', () => {
  // Everest, Master Handbook of Acoustics, later edition, ch. 12: 3.4 inches at 1 kHz.
  expect(Math.abs(quarterWaveDepth_m(1000) / 0.0254 - 3.4)).toBeLessThan(0.05);
  const reach = [12, 25, 50, 100].map((mm) => quarterWaveFrequency_hz({ thickness_m: mm / 1000, gap_m: 0 }));
  [7146, 3430, 1715, 857.5].forEach((expected, index) => {
    expect(Math.abs(reach[index]! - expected)).toBeLessThan(0.6);
  });
  const depths = [63, 125, 250, 500, 2000].map(quarterWaveDepth_m);
  [1.361, 0.686, 0.343, 0.1715, 0.0429].forEach((expected, index) => {
    expect(Math.abs(depths[index]! - expected)).toBeLessThan(0.0006);
  });
});
