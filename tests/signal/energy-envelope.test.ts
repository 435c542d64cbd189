import { expect, test } from 'vitest';
import { energyEnvelope } from '../../src/signal/energy-envelope.ts';

const pass = { rate_hz: 8000, lower_hz: 500, upper_hz: 2000 };

test('a steady tone in the pass-band has a flat envelope of half its squared amplitude', () => {
  const samples = Float64Array.from({ length: 2048 }, (_, i) => 3 * Math.sin((2 * Math.PI * 1000 * i) / 8000));
  const envelope = energyEnvelope(samples, pass);
  for (let i = 500; i < 1500; i++) expect(envelope[i]).toBeCloseTo(4.5, 1);
});

test('a tone an octave outside leaves nothing', () => {
  const samples = Float64Array.from({ length: 2048 }, (_, i) => {
    const window = Math.sin((Math.PI * i) / 2048) ** 2;
    return window * Math.sin((2 * Math.PI * 250 * i) / 8000);
  });
  expect(Math.max(...energyEnvelope(samples, pass))).toBeLessThan(1e-6);
});

test('a pulse keeps its place: the envelope peaks where the pulse is', () => {
  const samples = new Float64Array(1000);
  samples[333] = 1;
  const envelope = energyEnvelope(samples, pass);
  expect(envelope.indexOf(Math.max(...envelope))).toBe(333);
});
