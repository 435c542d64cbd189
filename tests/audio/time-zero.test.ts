import { expect, it } from 'vitest';
import { timeZero } from '../../src/audio/time-zero.ts';

const rate_hz = 48000;
const zeroOf = (values: Record<number, number>) => {
  const samples = new Float64Array(4800);
  for (const [at, value] of Object.entries(values)) samples[Number(at)] = value;
  return timeZero(samples, { rate_hz, from: 1000, to: 3000 });
};

it('timeZero is the first sample at or above 20 dB below the maximum of the direct sound (ISO 3382-1:2009, A.2.1)', () => {
  expect(zeroOf({ 1990: 0.0999, 1995: 0.1001, 2000: -1 })).toBe(1995);
  expect(zeroOf({ 1990: 0.1, 2000: 1 })).toBe(1990);
});

it('timeZero measures against the direct sound, not against a later and stronger arrival', () => {
  // 0.03 is 30 dB under the reflection but 16 dB under the direct sound.
  expect(zeroOf({ 1990: 0.03, 2000: 0.2, 2400: 1 })).toBe(1990);
});

it('timeZero holds its threshold above the noise ahead of the event', () => {
  expect(zeroOf({ 800: 0.15, 1995: 0.12, 2000: 1 })).toBe(2000);
});
