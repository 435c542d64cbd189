import { type ExaminedTake, examineTake } from '../src/audio/examine-take.ts';
import { faultMessage } from '../src/audio/fault-messages.ts';
import type { Fault } from '../src/audio/faults.ts';
import { sweepResponses } from '../src/audio/sweep-responses.ts';
import type { SourceKind, TakeKind } from '../src/project/project.ts';
import type { NormalisedTake } from './normalise.ts';
import { SWEEP_JSON, type SweepFound } from './sweep-file.ts';

/** What the project says of a take before it is heard. */
export interface AlignOptions {
  /** null: to be recognised from the sound. */
  kind: TakeKind | null;
  source: SourceKind | null;
  /** The sweep that was played, as the project folder has it. */
  sweep: SweepFound;
  /** Whether the repeats of a sweep are averaged to one response. */
  average?: boolean;
}

export interface AlignedTake extends ExaminedTake {
  /** Of a sweep that was found: by how much the recorder's clock ran fast. */
  clock_ppm: number | null;
}

/**
 * Cuts the claps, pops or the ready impulse response out of a take, or recovers them from a recorded sweep, each with time zero at its
 * direct sound, and names what is wrong with them. Other kinds have no responses to cut out.
 */
export function alignTake(take: NormalisedTake, options: AlignOptions): AlignedTake {
  const examined = examineTake(take, options);
  if (examined.kind !== 'sweep') return { ...examined, clock_ppm: null };
  const description = 'sweep' in options.sweep ? options.sweep.sweep : null;
  if (description === null)
    return { ...examined, faults: [undescribed(options.sweep), ...examined.faults], clock_ppm: null };
  const { rate_hz, samples } = take;
  const { responses, faults, clock_ppm } = sweepResponses(samples, {
    rate_hz,
    description,
    average: options.average ?? false,
  });
  return { ...examined, responses, faults: [...faults, ...examined.faults], clock_ppm };
}

function undescribed(sweep: SweepFound): Fault {
  const reason = 'fault' in sweep ? { reason: `${SWEEP_JSON} ${sweep.fault.message}` } : {};
  return faultMessage('undescribed', { missing: 'sweep', ...reason });
}
