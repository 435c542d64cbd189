import type { TreatmentEffect } from './advice.ts';

/**
 * The effects that are a single step: of those that start from one stage, the one with the fewest products. The others, such as from the
 * first stage to the last, hold several steps. In the order given.
 */
export function effectSteps(effects: readonly TreatmentEffect[]): TreatmentEffect[] {
  return effects.filter(
    (effect) =>
      !effects.some((other) => other.from === effect.from && other.treatments.length < effect.treatments.length),
  );
}
