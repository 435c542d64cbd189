import { faultMessage } from '../src/audio/fault-messages.ts';
import type { Fault } from '../src/audio/faults.ts';
import { findResponses } from '../src/audio/find-responses.ts';
import type { Response } from '../src/audio/response.ts';
import type { TakeKind } from '../src/project/project.ts';
import type { NormalisedTake } from './normalise.ts';

/** A take cut into its responses, each with time zero at the direct sound. */
export interface AlignedTake {
  responses: Response[];
  faults: Fault[];
}

/** Cuts the claps, pops or the ready impulse response out of a take. Kinds that hold no decay give no responses and a note. */
export function alignTake(take: NormalisedTake, kind: TakeKind): AlignedTake {
  if (kind !== 'impulse' && kind !== 'response') {
    return { responses: [], faults: [faultMessage('kind-not-measured', { kind })] };
  }
  return findResponses(take.samples, { rate_hz: take.rate_hz, kind });
}
