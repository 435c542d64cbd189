import { OCTAVES } from '../project/project.ts';
import type { BandQuantity } from '../room/reading.ts';
import type { DecayEstimate } from '../room/target-distance.ts';
import type { StageFinding, StageValue } from '../statistics/finding.ts';

/** Decay times from the most precise to the least; the first that is valid speaks for a band. */
const DECAY_QUANTITIES = ['tfull_s', 't30_s', 't20_s'] as const satisfies BandQuantity[];

/** Nominal midbands of the octaves, ascending. */
export const OCTAVE_CENTRES_HZ: readonly number[] = OCTAVES.map(Number);

/** A stage value that is there, with its uncertainty. */
export interface GivenValue extends StageValue {
  value: number;
  standard_uncertainty: number;
  expanded_uncertainty: number;
}

function given(stage: StageFinding, quantity: BandQuantity, centre_hz: number): GivenValue | null {
  const found = stage.values.find(
    (value) => value.quantity === quantity && value.width === 'octave' && value.centre_hz === centre_hz,
  );
  if (!found || found.status === 'unavailable') return null;
  const complete = found.value !== null && found.standard_uncertainty !== null && found.expanded_uncertainty !== null;
  return complete ? (found as GivenValue) : null;
}

/** The most precise decay time of an octave that a stage holds, or null. */
export function octaveDecay(stage: StageFinding, centre_hz: number): GivenValue | null {
  for (const quantity of DECAY_QUANTITIES) {
    const value = given(stage, quantity, centre_hz);
    if (value) return value;
  }
  return null;
}

/** The most precise decay time of an octave that both stages hold as the same quantity, or null. */
export function sharedDecay(
  from: StageFinding,
  to: StageFinding,
  centre_hz: number,
): { before: GivenValue; after: GivenValue } | null {
  for (const quantity of DECAY_QUANTITIES) {
    const before = given(from, quantity, centre_hz);
    const after = given(to, quantity, centre_hz);
    if (before && after) return { before, after };
  }
  return null;
}

/** The decay times of a stage in octaves, ascending; octaves without one are left out. */
export function stageEstimates(stage: StageFinding): DecayEstimate[] {
  return OCTAVE_CENTRES_HZ.flatMap((centre_hz) => {
    const value = octaveDecay(stage, centre_hz);
    if (!value) return [];
    const { value: time_s, standard_uncertainty, expanded_uncertainty } = value;
    return [
      {
        centre_hz,
        time_s,
        standard_uncertainty_s: standard_uncertainty,
        expanded_uncertainty_s: expanded_uncertainty,
      },
    ];
  });
}
