import { expect, test } from 'vitest';
import { directEnergy, lateLevel_db } from '../../src/room/late-level.ts';
import { decayFromPower, rateOf } from './decay-from-power.ts';

test('directEnergy of a short tone burst at 4 kHz is its energy, wherever time zero lies', () => {
  for (const zero of [10, 500, 4000]) {
    const samples = new Float64Array(8000);
    for (let i = 0; i < 96; i++)
      samples[zero + i] = Math.sin((Math.PI * i) / 96) ** 2 * Math.sin((2 * Math.PI * 4000 * i) / 48000);
    const energy = samples.reduce((sum, value) => sum + value * value, 0) / 48000;
    expect(directEnergy(samples, 48000, zero) / energy).toBeCloseTo(1, 2);
  }
});

test('directEnergy leaves out what lies under 500 Hz, and what comes after 5 ms', () => {
  const low = Float64Array.from({ length: 8000 }, (_, i) => Math.sin((2 * Math.PI * 100 * i) / 48000));
  expect(directEnergy(low, 48000, 4000) / (0.005 / 2)).toBeLessThan(0.01);
  const late = new Float64Array(8000);
  late[4000 + 480] = 1;
  expect(directEnergy(late, 48000, 4000) * 48000).toBeLessThan(0.01);
});

test('lateLevel_db is the energy from 20 ms on over the direct sound', () => {
  const k = rateOf(0.5);
  const decay = decayFromPower((t) => Math.exp(-k * t), { rate_hz: 48000, end_s: 1 });
  const expected = 10 * Math.log10(Math.exp(-k * 0.02) / k / 0.004);
  expect(lateLevel_db(decay, { stop_s: 1, noise: 0, missing: 0 }, 0.004)).toBeCloseTo(expected, 3);
});

test('lateLevel_db is null without direct sound, or where the decay ends before 20 ms', () => {
  const decay = decayFromPower(() => 1, { rate_hz: 48000, end_s: 1 });
  expect(lateLevel_db(decay, { stop_s: 1, noise: 0, missing: 0 }, 0)).toBeNull();
  expect(lateLevel_db(decay, { stop_s: 0.01, noise: 0, missing: 0 }, 1)).toBeNull();
});
