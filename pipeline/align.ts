import { type ExaminedTake, examineTake } from '../src/audio/examine-take.ts';
import { faultMessage } from '../src/audio/fault-messages.ts';
import type { SourceKind, TakeKind } from '../src/project/project.ts';
import type { NormalisedTake } from './normalise.ts';

/** What the project says of a take before it is heard. */
export interface AlignOptions {
  /** null: to be recognised from the sound. */
  kind: TakeKind | null;
  source: SourceKind | null;
}

/**
 * Cuts the claps, pops or the ready impulse response out of a take, each with time zero at its direct sound, and names what is
 * wrong with them. Kinds from which no decay is read give no responses, and a note that says so.
 */
export function alignTake(take: NormalisedTake, options: AlignOptions): ExaminedTake {
  const examined = examineTake(take, options);
  if (examined.kind === 'impulse' || examined.kind === 'response') return examined;
  return { ...examined, faults: [...examined.faults, faultMessage('kind-not-measured', { kind: examined.kind })] };
}
