import type { SourceKind, TakeKind } from '../project/project.ts';
import { clippedRuns } from './clipping.ts';
import { eventTraces } from './event-traces.ts';
import { faultMessage } from './fault-messages.ts';
import type { Fault } from './faults.ts';
import { findInTraces } from './find-responses.ts';
import { recogniseKind } from './recognise-kind.ts';
import type { Response } from './response.ts';
import type { Sound } from './sound.ts';
import { clipping, soundFaults, takeFaults } from './take-faults.ts';

export interface ExamineOptions {
  /** null: recognised from the sound, and said so in a note. */
  kind: TakeKind | null;
  /** What made the sound, as the project says. */
  source: SourceKind | null;
}

export interface ExaminedTake {
  kind: TakeKind;
  responses: Response[];
  faults: Fault[];
}

/**
 * Everything there is to say of one take before a decay is read: its kind, its responses cut out, and its faults.
 * Takes of the kinds impulse and response get responses; a take of another kind gets only the faults that can be told
 * from its sound, and its responses, if its kind has any, are for others to find.
 *
 * @param take one channel of the sound, its mean taken away
 */
export function examineTake(
  take: { sound: Sound; channel: number; samples: Float64Array; dc_offset: number },
  { kind: given, source }: ExamineOptions,
): ExaminedTake {
  const { samples, sound } = take;
  const { rate_hz } = sound;
  const traces = eventTraces(samples, rate_hz);
  const asClaps = findInTraces(samples, traces, { rate_hz, kind: 'impulse' });
  const kind = given ?? recogniseKind(samples, { traces, rate_hz, events: asClaps.quiet, source });
  const guessed = given === null ? [faultMessage('kind-guessed', { kind })] : [];
  if (kind === 'impulse' || kind === 'response') {
    const found = kind === 'impulse' ? asClaps : findInTraces(samples, traces, { rate_hz, kind });
    const faulted = takeFaults({ ...take, traces, source, ready: kind === 'response' }, found);
    return { kind, responses: faulted.responses, faults: [...faulted.faults, ...guessed] };
  }
  const silent = samples.every((value) => value === 0) ? faultMessage('silent', {}) : null;
  const clipped = clipping(clippedRuns(sound.channels[take.channel - 1]!));
  const played = kind === 'sweep' || kind === 'calibration';
  const ofSound = soundFaults({ ...take, ready: played });
  return { kind, responses: [], faults: [silent, clipped].flatMap((fault) => fault ?? []).concat(ofSound, guessed) };
}
