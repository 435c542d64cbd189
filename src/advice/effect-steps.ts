import type { TreatmentEffect } from './advice.ts';

/**
 * The effects that are a single step. The others, such as from the first stage to the last, hold several: one of the list begins
 * where they begin, and another ends where they end. In the order given.
 */
export function effectSteps(effects: readonly TreatmentEffect[]): TreatmentEffect[] {
  return effects.filter((effect) => {
    const others = effects.filter((other) => other !== effect);
    return !(others.some(({ from }) => from === effect.from) && others.some(({ to }) => to === effect.to));
  });
}
