import { describe, expect, test } from 'vitest';
import { type Beforehand, beforehandRoom, soundOf, workBeforehand } from '../../src/room/beforehand.ts';
import { readResponse } from '../../src/room/read-response.ts';
import { BAND_WIDTHS } from '../../src/room/reading.ts';
import { simulateResponse } from './simulated-response.ts';

/** Room that ends. */
function roomOf(values: number) {
  const memory = new Float64Array(values);
  let at = 0;
  return {
    take: (size: number) => {
      if (at + size > values) throw new RangeError(`${at + size} of ${values}`);
      at += size;
      return memory.subarray(at - size, at);
    },
  };
}

describe('beforehandRoom(samples)', () => {
  test.each([8000, 44100, 48000, 96000, 192000])('is enough for any length and time zero at %i Hz', (rate_hz) => {
    for (const length of [1, 2, 3, 31, 32, 33, 1000, 4801]) {
      for (const zero_sample of [0, 1, 14, 27]) {
        const room = roomOf(beforehandRoom(length));
        const { halved } = workBeforehand(new Float64Array(length).fill(1), {
          rate_hz,
          zero_sample,
          widths: BAND_WIDTHS,
          room,
        });
        expect(halved.map((rate) => rate.rate_hz)).toEqual(halved.map((_, i) => rate_hz / 2 ** (i + 1)));
        expect(halved.length).toBeGreaterThan(2);
      }
    }
  });
});

test('a response is read the same whether its rates were halved beforehand, also where it ends in silence', () => {
  const { samples, rate_hz, zero_sample } = simulateResponse({ seed: 21, decay_time_s: 0.4, range_db: 60 });
  const padded = new Float64Array(samples.length + 4801);
  padded.set(samples);
  const options = { rate_hz, zero_sample, widths: BAND_WIDTHS };
  const beforehand = workBeforehand(padded, { ...options, room: roomOf(beforehandRoom(padded.length)) });
  expect(soundOf(padded, options).samples.length).toBe(samples.length);
  const read = readResponse(padded, { ...options, beforehand });
  expect(read).toEqual(readResponse(padded, options));
  expect(read.bands.filter(({ t20_s }) => t20_s !== null).length).toBeGreaterThan(10);
});

test('what was worked out beforehand is what counts: bands of a halved rate come out as soft as it was made', () => {
  const { samples, rate_hz, zero_sample } = simulateResponse({ seed: 21, decay_time_s: 0.4, range_db: 60 });
  const options = { rate_hz, zero_sample, widths: ['octave'] as const };
  const { early, halved } = workBeforehand(samples, { ...options, room: roomOf(beforehandRoom(samples.length)) });
  const softer = halved.map((rate) => ({ ...rate, samples: rate.samples.map((sample) => sample / 2) }));
  const lateLevels = (beforehand: Beforehand | null) =>
    readResponse(samples, { ...options, beforehand }).bands.map((band) => band.late_level_db ?? Number.NaN);
  const [whole, soft] = [lateLevels(null), lateLevels({ early, halved: softer })];
  // The top octave is filtered at the full rate.
  expect(soft.at(-1)).toBe(whole.at(-1));
  for (const i of [3, 4, 5]) expect(soft[i]! - whole[i]!).toBeCloseTo(-20 * Math.log10(2), 6);
});
