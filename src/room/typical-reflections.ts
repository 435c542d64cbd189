import { median } from '../signal/median.ts';
import type { Reflection } from './reading.ts';

/** Peaks of one reflection wander by so much from clap to clap, the source being held by hand (our judgement). */
const TOGETHER_S = 0.0004;

/**
 * The reflections that most responses of one position agree on: those found within 0.4 ms of one another in more than half of
 * them, each with the median delay, path and level. Ascending in delay; empty where there are no responses.
 */
export function typicalReflections(responses: readonly (readonly Reflection[])[]): Reflection[] {
  const all = responses
    .flatMap((reflections, response) => reflections.map((reflection) => ({ reflection, response })))
    .sort((a, b) => a.reflection.delay_s - b.reflection.delay_s);
  const typical: Reflection[] = [];
  for (let start = 0; start < all.length; ) {
    let end = start + 1;
    while (end < all.length && all[end]!.reflection.delay_s - all[start]!.reflection.delay_s <= TOGETHER_S) end++;
    const group = all.slice(start, end);
    if (new Set(group.map(({ response }) => response)).size * 2 > responses.length) {
      const middle = (of: keyof Reflection) => median(group.map(({ reflection }) => reflection[of]));
      typical.push({
        delay_s: middle('delay_s'),
        extra_path_m: middle('extra_path_m'),
        level_db: middle('level_db'),
      });
    }
    start = end;
  }
  return typical;
}
