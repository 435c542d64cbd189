import { describe, expect, test } from 'vitest';
import { BandFilter, bandFilterPower, fitsRate } from '../../src/signal/band-filter.ts';
import { OCTAVES, THIRD_OCTAVES } from '../../src/signal/bands.ts';
import { butterworthBandpass, cascadePower } from '../../src/signal/butterworth.ts';
import { breakpointRatio, CLASS_ONE_LIMITS, limitsBetween } from '../reference/class-one-limits.ts';

const RATES_HZ = [8000, 11025, 12000, 16000, 22050, 24000, 32000, 44100, 48000, 64000, 88200, 96000, 176400, 192000];
const ALL = [...OCTAVES, ...THIRD_OCTAVES];
const attenuation = (band: (typeof ALL)[number], rate_hz: number, frequency_hz: number) =>
  -10 * Math.log10(bandFilterPower(band, rate_hz)(frequency_hz));

describe('class 1 of IEC 61260-1:2014, the whole chain, decimation and aliases included', () => {
  test.each(RATES_HZ)('at %i Hz, every band that fits, at every point of Table 1', (rate_hz) => {
    let points = 0;
    for (const band of ALL.filter((one) => fitsRate(one, rate_hz))) {
      for (const [exponent, least, most] of CLASS_ONE_LIMITS) {
        for (const sign of [1, -1]) {
          const frequency_hz = band.exact_hz * breakpointRatio(sign * exponent, band.width === 'octave' ? 1 : 3);
          if (frequency_hz >= rate_hz / 2) continue;
          const found = attenuation(band, rate_hz, frequency_hz);
          expect(found, `${band.width} ${band.centre_hz} Hz at G^${sign * exponent}`).toBeGreaterThanOrEqual(least);
          expect(found, `${band.width} ${band.centre_hz} Hz at G^${sign * exponent}`).toBeLessThanOrEqual(most);
          points++;
        }
      }
    }
    expect(points).toBeGreaterThan(200);
  });

  test('and between the points, on a fine grid at 44.1 kHz', () => {
    for (const band of ALL.filter((one) => fitsRate(one, 44100))) {
      for (let ratio = 0.07; ratio < 14; ratio *= 1.013) {
        const frequency_hz = band.exact_hz * ratio;
        if (frequency_hz >= 22050) continue;
        const { least, most } = limitsBetween(ratio, band.width === 'octave' ? 1 : 3);
        const found = attenuation(band, 44100, frequency_hz);
        expect(found, `${band.centre_hz} Hz at ${ratio}`).toBeGreaterThanOrEqual(least);
        expect(found, `${band.centre_hz} Hz at ${ratio}`).toBeLessThanOrEqual(most);
      }
    }
  });
});

test('the breakpoint formula gives the 0.97402 printed in Annex E of the standard (GOST R 70024.1-2022)', () => {
  expect(breakpointRatio(-1 / 8, 3)).toBeCloseTo(0.97402, 5);
});

// Designed and run at 48 kHz, computed: dB at least at G^+-1, 2, 3, 4, and dB at G^(3/8), to 0.1 dB.
test.each([
  ['octave', [19.6, 43.4, 62.7, 81.0], 0.68],
  ['third-octave', [21.3, 46.0, 64.3, 81.2], 0.6],
] as const)(
  'the 1 kHz %s as three sections at 48 kHz has the skirts of a 6-pole Butterworth',
  (width, skirts, rounding) => {
    const band = ALL.find((one) => one.width === width && one.centre_hz === 1000)!;
    const per = width === 'octave' ? 1 : 3;
    const sections = butterworthBandpass({ lower_hz: band.lower_hz, upper_hz: band.upper_hz, rate_hz: 48000 });
    const at = (exponent: number) =>
      -10 * Math.log10(cascadePower(sections, (band.exact_hz * breakpointRatio(exponent, per)) / 48000));
    skirts.forEach((least, i) => {
      expect(Math.min(at(i + 1), at(-i - 1))).toBeGreaterThan(least - 0.1);
    });
    expect(Math.abs(at(3 / 8) - rounding)).toBeLessThan(0.1);
    expect(attenuation(band, 48000, band.lower_hz)).toBeCloseTo(3.01, 1);
    expect(attenuation(band, 48000, band.upper_hz)).toBeCloseTo(3.01, 1);
  },
);

test.each([
  [63, 48000],
  [1000, 48000],
  [8000, 48000],
  [2000, 8000],
])('a tone through the %i Hz filter at %i Hz comes out as the calculated gain says', (centre_hz, rate_hz) => {
  const band = OCTAVES.find((one) => one.centre_hz === centre_hz)!;
  for (const ratio of [0.55, 0.8, 1, 1.3]) {
    const frequency_hz = band.exact_hz * ratio;
    const samples = Float64Array.from({ length: rate_hz }, (_, i) =>
      Math.sin((2 * Math.PI * frequency_hz * i) / rate_hz),
    );
    const signal = new BandFilter({ samples, rate_hz, zero: 0 }).filter(band, 0);
    const settled = signal.samples.subarray(signal.samples.length * 0.2, signal.samples.length * 0.7);
    const power = settled.reduce((sum, value) => sum + value * value, 0) / settled.length;
    expect(10 * Math.log10(2 * power)).toBeCloseTo(-attenuation(band, rate_hz, frequency_hz), 1);
  }
});

test('filter puts its ringing before time zero and keeps time zero on the grid', () => {
  const samples = new Float64Array(48000);
  samples[1237] = 1;
  const source = new BandFilter({ samples, rate_hz: 48000, zero: 1237 });
  for (const band of ALL) {
    const { samples: out, zero } = source.filter(band, 5 / band.bandwidth_hz);
    const energy = (from: number, to: number) => out.subarray(from, to).reduce((sum, value) => sum + value * value, 0);
    expect(energy(0, zero + 1) / energy(0, out.length), `${band.centre_hz} Hz`).toBeGreaterThan(0.999);
  }
});

test('filter refuses a band whose upper edge lies above 0.45 of the rate', () => {
  const source = new BandFilter({ samples: new Float64Array(100), rate_hz: 16000, zero: 0 });
  expect(() => source.filter(OCTAVES[7]!, 0)).toThrow('8000 Hz does not fit 16000 Hz');
});
