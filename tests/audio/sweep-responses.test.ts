import { describe, expect, it } from 'vitest';
import { sweepResponses } from '../../src/audio/sweep-responses.ts';
import { DEFAULT_SWEEP } from '../../src/signal/sweep.ts';
import { recordSweep, roomResponse } from '../signal/sweep-recording.ts';

const description = { ...DEFAULT_SWEEP, f1_hz: 60, f2_hz: 7000, duration_s: 2, tail_s: 0.8, repeats: 1 };
const rate_hz = 16_000;

function take(starts_s: number[], seconds: number) {
  const response = roomResponse({ rate_hz, decay_s: 0.2, seconds: 0.5, seed: 1 });
  const samples = recordSweep({ description, rate_hz, seconds, starts_s, response, noise_db: -30, seed: 2 });
  return sweepResponses(samples, { rate_hz, description });
}

describe('sweepResponses(samples, options)', () => {
  it('gives one response a recorded sweep, with time zero at its direct sound', () => {
    const { responses, faults } = take([0.5, 3.6], 7);
    expect(faults).toEqual([]);
    expect(responses.map(({ used, rate_hz: rate }) => [used, rate])).toEqual([
      [true, rate_hz],
      [true, rate_hz],
    ]);
    [0.5, 3.6].forEach((start_s, i) => {
      expect(Math.abs(responses[i]!.onset_s - start_s)).toBeLessThan(0.001);
      expect(responses[i]!.zero_sample).toBe(0.02 * rate_hz);
    });
  });

  it.each([
    [[-0.5], 4, 'too-short', 'begins after the sweep had started'],
    [[1], 2.8, 'too-short', 'stops before the sweep'],
    [[], 5, 'no-event', 'the sweep was not found'],
  ] as const)('says of a sweep at %j s in %d s of recording: %s, %s', (starts_s, seconds, code, words) => {
    const { responses, faults } = take([...starts_s], seconds);
    expect(responses).toEqual([]);
    expect(faults).toMatchObject([{ code, severity: 'reject', message: expect.stringContaining(words) }]);
  });

  it('refuses a rate that holds less than two octaves of the sweep', () => {
    const high = { ...description, f1_hz: 2000 };
    const { faults } = sweepResponses(new Float64Array(8000), { rate_hz: 8000, description: high });
    expect(faults).toMatchObject([{ code: 'rate-too-low' }]);
  });
});
