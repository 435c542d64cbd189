import { absorptionAt, guardAbsorptionAt } from '../room/materials.ts';
import { predictDecay, predictedGain } from '../room/prediction.ts';
import type { TargetBand } from '../room/targets.ts';
import type { Combination, CombinationSearch } from './advice.ts';
import { type Candidate, callsForAbsorption, type Start, timeWith, wouldOvershoot } from './start.ts';
import { worthOf } from './worth.ts';

/** Every subset is tried: 65536 of them at this many options take a fraction of a second. */
const MOST_OPTIONS = 16;
/** Two combinations this near in missing absorption are as good as each other; the cheaper one wins (square metres). */
const SAME_M2 = 0.05;

type Usable = Candidate & { option: number; area: number };

/** A set of usable options on its way: what it adds in each octave with a target, by its data and as guarded. */
interface Grown {
  options: number[];
  gains_m2: number[];
  guards_m2: number[];
  area_m2: number;
  cost: number;
}

interface Tried extends Grown {
  closes_m2: number;
  useful_share: number;
  within_tolerance: boolean;
}

/**
 * The best sets of listed options within the budget and the free area, found by trying every one: the least cost (area where a cost is
 * missing) that is predicted to bring every octave within its tolerance, and the one that makes up most of the absorption missing.
 * A set that takes an octave below its tolerance, or adds mostly where nothing is missing, is never given. Options without area or data take no part; those without a
 * cost take no part where there is a budget. Nothing is searched where no octave is too long.
 * Hand it only what is recommended on its own, or the set contradicts the list.
 */
export function bestCombinations(candidates: readonly Candidate[], start: Start): CombinationSearch {
  const limits = { budget: start.budget, free_area_m2: start.free_area_m2 };
  const none = (reason: CombinationSearch['reason']) => ({ found: [], reason, ...limits });
  if (!callsForAbsorption(start.status)) return none('not-called-for');
  const usable = candidates.filter((candidate): candidate is Usable => isUsable(candidate, start));
  if (usable.length === 0) return none('no-options');
  if (usable.length > MOST_OPTIONS) return none('too-many-options');
  const costed = usable.every(({ cost }) => cost !== undefined);
  const tried = everySubset(usable, start);
  if (tried.length === 0) return none('none-helps');
  const price = (set: Tried) => (costed ? set.cost : set.area_m2);
  const most_m2 = Math.max(...tried.map(({ closes_m2 }) => closes_m2));
  const closest = cheapest(
    tried.filter(({ closes_m2 }) => closes_m2 >= most_m2 - SAME_M2),
    price,
  )!;
  const least = cheapest(
    tried.filter(({ within_tolerance }) => within_tolerance),
    price,
  );
  const found: Combination[] = [];
  const described = describer(usable, start, costed);
  if (least) found.push(described('least-cost', least));
  if (least?.options.join() !== closest.options.join()) found.push(described('closest', closest));
  return { found, reason: 'searched', ...limits };
}

function isUsable(candidate: Candidate, start: Start): boolean {
  if (candidate.option === null || candidate.area === undefined) return false;
  if (start.budget !== null && candidate.cost === undefined) return false;
  return start.bands.some(({ now }) => absorptionAt(candidate.absorption, now.centre_hz) !== null);
}

/** Least in price, of equals in price that with less area, then the first found. */
function cheapest(sets: readonly Tried[], price: (set: Tried) => number): Tried | null {
  let best: Tried | null = null;
  for (const set of sets) {
    if (best === null || price(set) < price(best) || (price(set) === price(best) && set.area_m2 < best.area_m2))
      best = set;
  }
  return best;
}

/** Every set within budget and area that helps and overshoots nowhere. Adding to a set that overshoots cannot mend it, so such branches end. */
function everySubset(usable: readonly Usable[], start: Start): Tried[] {
  const judged = start.bands.filter(({ distance }) => distance !== null);
  const inBands = (alphaAt: typeof guardAbsorptionAt | typeof absorptionAt) =>
    usable.map(({ area, absorption }) => judged.map(({ now }) => area * (alphaAt(absorption, now.centre_hz) ?? 0)));
  const gains = inBands(absorptionAt);
  const guards = inBands(guardAbsorptionAt);
  const plus = (sums: number[], more: number[]) => sums.map((sum, band) => sum + more[band]!);
  const found: Tried[] = [];
  const grow = (from: number, set: Grown) => {
    for (let next = from; next < usable.length; next++) {
      const area_m2 = set.area_m2 + usable[next]!.area;
      const cost = set.cost + (usable[next]!.cost ?? 0);
      if (start.budget !== null && cost > start.budget + 1e-9) continue;
      if (start.free_area_m2 !== null && area_m2 > start.free_area_m2 + 1e-9) continue;
      const guards_m2 = plus(set.guards_m2, guards[next]!);
      if (judged.some((band, index) => wouldOvershoot(band, guards_m2[index]!))) continue;
      const grown = {
        options: [...set.options, next],
        gains_m2: plus(set.gains_m2, gains[next]!),
        guards_m2,
        area_m2,
        cost,
      };
      const times_s = judged.map((band, index) => timeWith(band, grown.gains_m2[index]!));
      const { gains: helps, focused, closes_m2, useful_share } = worthOf(judged, times_s);
      if (helps && focused) {
        const within_tolerance = judged.every(({ distance }, index) => inside(distance!, times_s[index]!));
        found.push({ ...grown, closes_m2: closes_m2!, useful_share: useful_share!, within_tolerance });
      }
      grow(next + 1, grown);
    }
  };
  const nothing = judged.map(() => 0);
  grow(0, { options: [], gains_m2: nothing, guards_m2: nothing, area_m2: 0, cost: 0 });
  return found;
}

function inside({ low_s, high_s }: TargetBand, time_s: number): boolean {
  return time_s >= low_s && time_s <= high_s;
}

/** The sets wanted, written out with what each is predicted to do. */
function describer(usable: readonly Usable[], start: Start, costed: boolean) {
  return (kind: Combination['kind'], set: Tried): Combination => {
    const members = set.options.map((index) => usable[index]!);
    const bands = start.bands.map(({ now, room }) => {
      const { centre_hz, time_s: now_s, expanded_uncertainty_s: now_expanded_s } = now;
      const additions = members.map(({ area, absorption, basis }) => {
        const alpha = absorptionAt(absorption, centre_hz) ?? 0;
        return { area_m2: area, alpha, basis };
      });
      const gain = predictedGain(additions, centre_hz);
      return { centre_hz, now_s, predicted: predictDecay({ ...room, now_expanded_s, gain }) };
    });
    const { area_m2, closes_m2, useful_share, within_tolerance } = set;
    const options = members.map(({ option }) => option).sort((a, b) => a - b);
    const cost = costed ? set.cost : null;
    return { kind, options, area_m2, cost, bands, closes_m2, useful_share, within_tolerance };
  };
}
