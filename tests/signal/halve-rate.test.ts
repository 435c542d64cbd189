import { expect, test } from 'vitest';
import { doubleRate, halfBandGain, halveRate } from '../../src/signal/halve-rate.ts';

const tone = (frequency: number, length = 2000) =>
  Float64Array.from({ length }, (_, i) => Math.cos(2 * Math.PI * frequency * (i - 1001)));

test.each([
  ['sharp', 0.22, 0.274],
  ['gentle', 0.16, 0.335],
  ['slight', 0.025, 0.477],
] as const)(
  'the %s half-band filter passes up to %d of the rate and stops 76 dB from %d on',
  (skirt, passed, stopped) => {
    for (let f = 0; f <= passed; f += 0.01) expect(Math.abs(halfBandGain(f, skirt) - 1)).toBeLessThan(2e-4);
    for (let f = stopped; f <= 0.5; f += 0.002) expect(Math.abs(halfBandGain(f, skirt))).toBeLessThan(10 ** (-76 / 20));
  },
);

test.each(['sharp', 'gentle'] as const)(
  'halveRate, %s, keeps a tone, its phase and time zero, odd or even',
  (skirt) => {
    for (const zero of [1000, 1001]) {
      const { samples, rate_hz, zero: at } = halveRate({ samples: tone(0.1), rate_hz: 8000, zero }, skirt);
      expect(rate_hz).toBe(4000);
      for (let i = 400; i < 600; i++) {
        const t = zero + 2 * (i - at);
        expect(samples[i]).toBeCloseTo(Math.cos(2 * Math.PI * 0.1 * (t - 1001)), 3);
      }
    }
  },
);

test.each(['sharp', 'gentle', 'slight'] as const)(
  'halveRate, %s, takes what lies beyond the samples as zero',
  (skirt) => {
    for (const zero of [0, 1]) {
      const samples = tone(0.03, 157);
      const padded = new Float64Array(157 + 400);
      padded.set(samples, 200);
      const [bare, wide] = [samples, padded].map(
        (of) => halveRate({ samples: of, rate_hz: 8000, zero }, skirt).samples,
      );
      bare!.forEach((value, m) => {
        expect(value).toBeCloseTo(wide![m + 100]!, 12);
      });
    }
  },
);

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
