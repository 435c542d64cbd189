import { expect, test } from 'vitest';
import { OCTAVES, THIRD_OCTAVES } from '../../src/signal/bands.ts';
import { statisticalBandwidth_hz } from '../../src/signal/statistical-bandwidth.ts';

test('the 1 kHz octave of a 6-pole Butterworth at a rate of 8 kHz has 1.2265 times its nominal bandwidth (computed)', () => {
  expect(statisticalBandwidth_hz(OCTAVES[4]!, 8000) / OCTAVES[4]!.bandwidth_hz).toBeCloseTo(1.2265, 3);
});

test('a narrow band tends to that of the low-pass prototype, 0.4 pi', () => {
  // (integral of 1/(1+x^6))^2 over integral of its square = (pi/3)^2 / (5/6 pi/3) a side, both sides: 2 pi/5 of the bandwidth.
  const band = THIRD_OCTAVES[10]!;
  expect(statisticalBandwidth_hz(band, 48000) / band.bandwidth_hz).toBeCloseTo(0.4 * Math.PI, 2);
});

test('at every usual rate all bands lie between 1.20 and 1.26 times their nominal bandwidth', () => {
  for (const rate_hz of [44100, 48000, 96000, 192000]) {
    for (const band of [...OCTAVES, ...THIRD_OCTAVES]) {
      const share = statisticalBandwidth_hz(band, rate_hz) / band.bandwidth_hz;
      expect(share).toBeGreaterThan(1.2);
      expect(share).toBeLessThan(1.26);
    }
  }
});
