import { type ExaminedTake, examineTake } from '../src/audio/examine-take.ts';
import { faultMessage } from '../src/audio/fault-messages.ts';
import type { Fault } from '../src/audio/faults.ts';
import { type SweepTake, sweepResponses } from '../src/audio/sweep-responses.ts';
import type { SourceKind, TakeKind } from '../src/project/project.ts';
import type { SweepDescription } from '../src/signal/sweep.ts';
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

/** Kinds whose responses are cut out of the recording, or recovered from it; the others are read whole. */
export const WITH_RESPONSES: ReadonlySet<TakeKind | null> = new Set(['impulse', 'response', 'sweep']);

export interface AlignedTake extends ExaminedTake {
  /** Of a sweep that was found: by how much the recorder's clock ran fast. */
  clock_ppm: number | null;
}

/**
 * Cuts the claps, pops or the ready impulse response out of a take, or recovers them from a recorded sweep, each with time zero at its
 * direct sound, and names what is wrong with them. Other kinds have no responses to cut out. Where the kind is not stated and the
 * project has a sweep, whatever is not plainly something else is searched for it: talk before a sweep hides it from the first guess.
 */
export function alignTake(take: NormalisedTake, options: AlignOptions): AlignedTake {
  const examined = { ...examineTake(take, options), clock_ppm: null };
  const description = 'sweep' in options.sweep ? options.sweep.sweep : null;
  if (examined.kind === 'sweep') {
    if (description === null) return { ...examined, faults: [undescribed(options.sweep), ...examined.faults] };
    const { faults, ...found } = findSweeps(take, description, options);
    return { ...examined, ...found, faults: [...faults, ...examined.faults] };
  }
  if (description === null || options.kind !== null || !MAY_HIDE_A_SWEEP.has(examined.kind)) return examined;
  const { responses, clock_ppm } = findSweeps(take, description, options);
  if (responses.length === 0) return examined;
  const { faults } = examineTake(take, { ...options, kind: 'sweep' });
  return { kind: 'sweep', responses, clock_ppm, faults: [...faults, faultMessage('kind-guessed', { kind: 'sweep' })] };
}

const MAY_HIDE_A_SWEEP: ReadonlySet<TakeKind> = new Set(['passage', 'noise-off', 'background']);

function findSweeps(take: NormalisedTake, description: SweepDescription, { average = false }: AlignOptions): SweepTake {
  const { rate_hz, samples } = take;
  return sweepResponses(samples, { rate_hz, description, average });
}

function undescribed(sweep: SweepFound): Fault {
  const reason = 'fault' in sweep ? { reason: `${SWEEP_JSON} ${sweep.fault.message}` } : {};
  return faultMessage('undescribed', { missing: 'sweep', ...reason });
}
