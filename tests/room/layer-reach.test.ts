import { expect, test } from 'vitest';
import { layerReach, neededLayer } from '../../src/room/layer-reach.ts';
import { diffuseAbsorption } from '../../src/room/porous-layer.ts';

test('a layer works fully from the frequency of which it is a quarter wavelength deep', () => {
  // 343 m/s over four times the depth: 12, 25, 50, 100 mm.
  const full = [12, 25, 50, 100].map((mm) => layerReach({ thickness_m: mm / 1000, gap_m: 0 }).full_from_hz);
  expect(full.map(Math.round)).toEqual([7146, 3430, 1715, 858]);
});

test('air behind counts as depth', () => {
  const { depth_m, full_from_hz } = layerReach({ thickness_m: 0.025, gap_m: 0.075 });
  expect(full_from_hz).toBeCloseTo(857.5, 9);
  expect(depth_m).toBeCloseTo(0.1, 12);
});

test('at a sixteenth of a wavelength ordinary wool takes in about half of a diffuse field', () => {
  for (const flow_resistivity_pa_s_m2 of [5000, 10000, 20000, 40000]) {
    for (const thickness_m of [0.012, 0.025, 0.05, 0.1]) {
      const layer = { thickness_m, gap_m: 0, flow_resistivity_pa_s_m2 };
      const alpha = diffuseAbsorption(layer, layerReach(layer).half_from_hz);
      expect(alpha).toBeGreaterThan(0.4);
      expect(alpha).toBeLessThan(0.7);
    }
  }
});

test('the lower the octave, the deeper the layer, until no layer will do', () => {
  const needed = [1000, 500, 250, 125, 63].map((hz) => neededLayer(hz).thickness_m);
  expect(needed).toEqual([0.025, 0.05, 0.1, 0.15, null]);
});
