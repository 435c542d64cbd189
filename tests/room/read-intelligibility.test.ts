import { expect, test } from 'vitest';
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
