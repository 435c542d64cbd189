import { expect, test } from 'vitest';
import { absorptionChange } from '../../src/room/absorption-change.ts';
import { boxSurface_m2, boxVolume_m3 } from '../../src/room/modes.ts';
import { SHOEBOX, shoeboxTimes_s } from './shoebox.ts';

const surface_m2 = boxSurface_m2(SHOEBOX);

// Image sources of an empty box, all faces alike: what was added is known, and the field is as even as a box allows.
test.each([
  [0.09, 0.13],
  [0.1, 0.16],
  [0.12, 0.2],
  [0.15, 0.22],
])('faces that go from %d to %d give back the absorption added, within its stated uncertainty', (before, after) => {
  const stages = [before, after].map((alpha) => {
    // Long enough for 50 dB of decay: cut there, T20 reads 0.05 % short.
    const times_s = shoeboxTimes_s(alpha, 0.09 / alpha);
    const time_s = times_s.reduce((sum, value) => sum + value, 0) / times_s.length;
    const spread_s = Math.sqrt(times_s.reduce((sum, value) => sum + (value - time_s) ** 2, 0) / (times_s.length - 1));
    const standard_uncertainty_s = spread_s / Math.sqrt(times_s.length);
    return { time_s, standard_uncertainty_s, dof: null, temperature_c: 20, humidity_percent: null };
  });
  const change = absorptionChange({
    volume_m3: boxVolume_m3(SHOEBOX),
    surface_m2,
    centre_hz: 1000,
    before: stages[0]!,
    after: stages[1]!,
  });
  const added_m2 = (after - before) * surface_m2;
  expect(Math.abs(change.area_m2 - added_m2)).toBeLessThanOrEqual(2 * change.standard_uncertainty_m2);
  // An interval so wide that anything fits would prove nothing. The doubt whether the field is diffuse alone makes 0.17 of it.
  expect(2 * change.standard_uncertainty_m2).toBeLessThan(0.3 * added_m2);
});
