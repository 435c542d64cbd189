import { expect, test } from 'vitest';
import { doubleRate, halfBandGain, halveRate } from '../../src/signal/halve-rate.ts';

const tone = (frequency: number, length = 2000) =>
  Float64Array.from({ length }, (_, i) => Math.cos(2 * Math.PI * frequency * (i - 1001)));

test('the half-band filter passes up to 0.22 of the rate and stops 76 dB from 0.274 on', () => {
  for (let f = 0; f <= 0.22; f += 0.01) expect(Math.abs(halfBandGain(f) - 1)).toBeLessThan(2e-4);
  for (let f = 0.274; f <= 0.5; f += 0.002) expect(Math.abs(halfBandGain(f))).toBeLessThan(10 ** (-76 / 20));
});

test('halveRate keeps a tone, its phase and time zero, odd or even', () => {
  for (const zero of [1000, 1001]) {
    const { samples, rate_hz, zero: at } = halveRate({ samples: tone(0.1), rate_hz: 8000, zero });
    expect(rate_hz).toBe(4000);
    for (let i = 400; i < 600; i++) {
      const t = zero + 2 * (i - at);
      expect(samples[i]).toBeCloseTo(Math.cos(2 * Math.PI * 0.1 * (t - 1001)), 3);
    }
  }
});

test('doubleRate puts the right value between the samples', () => {
  const { samples, rate_hz, zero } = doubleRate({ samples: tone(0.2), rate_hz: 8000, zero: 1001 });
  expect([rate_hz, zero]).toEqual([16000, 2002]);
  for (let i = 1500; i < 2500; i++) expect(samples[i]).toBeCloseTo(Math.cos(2 * Math.PI * 0.2 * (i / 2 - 1001)), 3);
});

test('halving what was doubled gives the samples back', () => {
  const source = { samples: tone(0.15), rate_hz: 8000, zero: 7 };
  const back = halveRate(doubleRate(source));
  expect([back.zero, back.rate_hz, back.samples.length]).toEqual([7, 8000, 2000]);
  for (let i = 100; i < 1900; i++) expect(back.samples[i]).toBeCloseTo(source.samples[i]!, 3);
});
