import { describe, expect, test } from 'vitest';
import { indexOfDecays } from '../../src/room/intelligibility.ts';
import { readIntelligibility } from '../../src/room/read-intelligibility.ts';
import { readResponse } from '../../src/room/read-response.ts';
import { type Simulated, simulateResponse } from './simulated-response.ts';

const read = ({ samples, rate_hz, zero_sample }: Simulated) => {
  const reading = readResponse(samples, { rate_hz, zero_sample, widths: ['octave'] });
  return readIntelligibility(samples, { rate_hz, zero_sample, reading });
};
const seven = (time_s: number) => Array.from({ length: 7 }, () => time_s);

// The index of an exponential decay follows from IEC 60268-16 and Houtgast, Steeneken and Plomp (1980).
test.each([
  [0.3, 60],
  [0.5, 45],
  [0.8, 35],
])(
  'noise that decays in %d s over a floor %d dB down has, in the mean of six, the index of its decay',
  (decay_time_s, range_db) => {
    const indices = [1, 2, 3, 4, 5, 6].map(
      (seed) => read(simulateResponse({ seed, decay_time_s, range_db, rate_hz: 32000 })).sti!,
    );
    const mean = indices.reduce((sum, sti) => sum + sti, 0) / indices.length;
    // One draw scatters by 0.005 to 0.007 (standard deviation of twenty), bass bands holding few independent samples.
    expect(Math.abs(mean - indexOfDecays(seven(decay_time_s)))).toBeLessThan(0.01);
  },
);

test('an octave lost in noise, or one the rate does not hold, leaves no index, and says which', () => {
  const noisy = read(simulateResponse({ seed: 1, decay_time_s: 0.4, range_db: 12, rate_hz: 32000 }));
  expect(noisy).toEqual({ sti: null, rating: null, refusal: 'the 125 Hz octave does not stand 20 dB over the noise' });
  const slow = read(simulateResponse({ seed: 1, decay_time_s: 0.4, range_db: 50, rate_hz: 16000 }));
  expect(slow.refusal).toBe('the rate of the recording does not hold the 8000 Hz octave');
});

describe('what an index asks of each octave', () => {
  const rate_hz = 32000;
  const source = simulateResponse({ seed: 3, decay_time_s: 0.2, range_db: 50, rate_hz });
  const whole = readResponse(source.samples, { rate_hz, zero_sample: source.zero_sample, widths: ['octave'] });
  type Reading = Pick<typeof whole, 'bands' | 'curves'>;
  const of = (reading: Reading) =>
    readIntelligibility(source.samples, { rate_hz, zero_sample: source.zero_sample, reading });
  const refused = { sti: null, rating: null, refusal: 'the 500 Hz octave does not stand 20 dB over the noise' };
  const at500 = (range_db: number | null): Reading => ({
    ...whole,
    bands: whole.bands.map((band) => (band.centre_hz === 500 ? { ...band, range_db } : band)),
  });

  test('20 dB of range, a curve, and a reading at all', () => {
    expect(of(at500(20))).toEqual(of(whole));
    expect(of(at500(19.9))).toEqual(refused);
    expect(of(at500(null))).toEqual(refused);
    expect(of({ ...whole, curves: whole.curves.filter(({ centre_hz }) => centre_hz !== 500) })).toEqual(refused);
    expect(of({ ...whole, bands: whole.bands.filter(({ centre_hz }) => centre_hz !== 500) })).toEqual(refused);
  });

  test('thirds of the same midband are no octaves', () => {
    const third = { width: 'third-octave' as const };
    const thirds = {
      bands: whole.bands.map((band) => ({ ...band, ...third, range_db: null })),
      curves: whole.curves.map((curve) => ({ ...curve, ...third, truncation_s: 0.01 })),
    };
    const both = { bands: [...thirds.bands, ...whole.bands], curves: [...thirds.curves, ...whole.curves] };
    expect(of(both)).toEqual(of(whole));
    expect(of(thirds).refusal).toMatch(/^the 125 Hz octave/);
  });

  test('what lies past the truncation is noise: taken off, it leaves the index of the decay', () => {
    // Cut late, where the noise is a good part of what is there: without it the index would be lower.
    const late = whole.curves.map((curve) => ({ ...curve, truncation_s: 2 * curve.truncation_s }));
    expect(Math.abs(of({ ...whole, curves: late }).sti! - of(whole).sti!)).toBeLessThan(0.003);
  });
});
