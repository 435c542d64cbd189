import { describe, expect, test } from 'vitest';
import { curveIntelligibility } from '../../src/room/curve-intelligibility.ts';
import { indexOfDecays, SPEECH_OCTAVES_HZ } from '../../src/room/intelligibility.ts';
import { readIntelligibility } from '../../src/room/read-intelligibility.ts';
import { readResponse } from '../../src/room/read-response.ts';
import type { BandReading, DecayCurve } from '../../src/room/reading.ts';

const STEP_S = 0.002;
/** Straight curves of one decay time down to 60 dB, well over the noise. */
function straight(time_s: number, range_db = 50): [BandReading[], DecayCurve[]] {
  const level_db = Array.from({ length: Math.round(time_s / STEP_S) }, (_, step) => (-60 * step * STEP_S) / time_s);
  const curves = SPEECH_OCTAVES_HZ.map((centre_hz): DecayCurve => {
    return { width: 'octave', centre_hz, step_s: STEP_S, level_db, noise_db: null, truncation_s: time_s };
  });
  const bands = SPEECH_OCTAVES_HZ.map((centre_hz) => ({ width: 'octave', centre_hz, range_db }) as BandReading);
  return [bands, curves];
}

/** Noise under an exponential, from a seeded generator (mulberry32, public domain). */
function drawn(time_s: number, rate_hz: number): { samples: Float64Array; zero_sample: number } {
  let state = 5;
  const draw = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
  const zero_sample = Math.round(rate_hz / 10);
  const samples = Float64Array.from({ length: Math.round(rate_hz * (1.6 * time_s + 0.8)) }, (_, index) => {
    const t_s = (index - zero_sample) / rate_hz;
    const white = () => draw() + draw() + draw() - 1.5;
    return 1e-4 * white() + (t_s >= 0 ? Math.exp((-6.9078 * t_s) / time_s) * white() : 0);
  });
  samples[zero_sample] = 5;
  return { samples, zero_sample };
}

describe('curveIntelligibility(bands, curves)', () => {
  test.each([0.2, 0.5, 1, 2])(
    'of a straight decay of %d s is the closed form of Houtgast and others (1980)',
    (time_s) => {
      const { sti } = curveIntelligibility(...straight(time_s));
      expect(Math.abs(sti! - indexOfDecays(SPEECH_OCTAVES_HZ.map(() => time_s)))).toBeLessThan(0.002);
    },
  );

  test.each([0.15, 0.4, 1])('of a drawn decay of %d s is that of the response itself within 0.005', (time_s) => {
    const rate_hz = 48000;
    const { samples, zero_sample } = drawn(time_s, rate_hz);
    const reading = readResponse(samples, { rate_hz, zero_sample, widths: ['octave'] });
    const slow = readIntelligibility(samples, { rate_hz, zero_sample, reading });
    expect(Math.abs(curveIntelligibility(reading.bands, reading.curves).sti! - slow.sti!)).toBeLessThan(0.005);
  });

  test('is refused where an octave stands less than 20 dB over the noise, and says which', () => {
    expect(curveIntelligibility(...straight(0.5, 19))).toEqual({
      sti: null,
      rating: null,
      refusal: 'the 125 Hz octave does not stand 20 dB over the noise',
    });
  });
});
