import { describe, expect, test } from 'vitest';
import type { ResponseTrace, TakeResult } from '../../src/report/results.ts';
import { speechByStage } from '../../src/report/speech-by-stage.ts';
import { indexOfDecays, SPEECH_OCTAVES_HZ } from '../../src/room/intelligibility.ts';
import type { BandReading } from '../../src/room/reading.ts';

const STEP_S = 0.002;

/** A take of one response with straight decays of `time_s` in every octave. */
function take(position: string, time_s: number, range_db: number): { result: TakeResult; trace: ResponseTrace } {
  const file = `recordings/bare/${position}/${time_s}-${range_db}.wav`;
  const bands = SPEECH_OCTAVES_HZ.map((centre_hz) => ({ width: 'octave', centre_hz, range_db }) as BandReading);
  const level_db = Array.from({ length: Math.round(time_s / STEP_S) }, (_, step) => (-60 * step * STEP_S) / time_s);
  const curves = SPEECH_OCTAVES_HZ.map((centre_hz) => {
    return { width: 'octave' as const, centre_hz, step_s: STEP_S, level_db, noise_db: null, truncation_s: time_s };
  });
  const place = { file, stage: 'bare', position };
  const response = { onset_s: 1, used: true, faults: [], bands, reflections: [] };
  const known = { sha256: null, kind: 'impulse' as const, rate_hz: 48000, seconds: 4, channel: 1 };
  return {
    result: { ...place, ...known, used: true, faults: [], responses: [response] },
    trace: { ...place, onset_s: 1, curves, early: { step_s: 0.001, level_db: [] } },
  };
}

const found = (takes: ReturnType<typeof take>[]) =>
  speechByStage(
    takes.map(({ result }) => result),
    takes.map(({ trace }) => trace),
  );
const closed = (time_s: number) => indexOfDecays(SPEECH_OCTAVES_HZ.map(() => time_s));

describe('speechByStage(takes, traces)', () => {
  test('is the mean of the positions, whatever the number of responses at each', () => {
    const [stage] = found([take('A', 0.4, 50), take('A', 0.4, 51), take('B', 1, 50)]);
    expect(stage!.sti).toBeCloseTo((closed(0.4) + closed(1)) / 2, 2);
    expect(stage!.lowest).toBeCloseTo(closed(1), 2);
    expect(stage!.highest).toBeCloseTo(closed(0.4), 2);
    expect(stage).toMatchObject({ responses: 3, positions: 2, refusals: [] });
  });

  test('is not given where fewer than half of the responses carry it, and says why', () => {
    const [stage] = found([take('A', 0.4, 50), take('A', 0.5, 12), take('A', 0.6, 12)]);
    expect(stage).toMatchObject({ sti: null, rating: null, responses: 1 });
    expect(stage!.refusals).toEqual(['the 125 Hz octave does not stand 20 dB over the noise']);
  });
});
