import type { ChangeValue, Contribution, Settling } from './finding.ts';
import { JUST_NOTICEABLE } from './just-noticeable.ts';
import { coverageFactor } from './student-t.ts';
import { isRatio } from './work-scale.ts';

/** Beyond this many more of one thing nobody will go: the answer is then none. */
export const MOST_MORE = 12;

/** Degrees of freedom each further shared position brings: differences of about five neighbouring bands. */
const POOLED_BANDS = 5;

/**
 * How many more responses at each position, or positions, would settle a change that is open: whether there is one at all, or
 * whether it would be noticed. Assumes that the difference stays where it is and the spread as it was seen, so it is a plan and
 * no promise. null where nothing is open or nothing was measured.
 */
export function settling(change: ChangeValue, responses_per_position: number): Settling | null {
  const open = change.verdict === 'no-detectable-change' ? change.noticeable !== 'no' : change.noticeable === 'unclear';
  if (change.difference === null || !open) return null;
  const positions = Math.max(1, change.shared_positions);
  // More of it only narrows the interval, and what a wider one leaves settled a narrower one does: so it is found by halving.
  const smallest = (trial: (more: number) => Plan) => {
    const enough = (more: number) => settles(change, predicted(change, trial(more)));
    if (!enough(MOST_MORE)) return null;
    let [least, most] = [1, MOST_MORE];
    while (least < most) {
      const middle = Math.floor((least + most) / 2);
      if (enough(middle)) most = middle;
      else least = middle + 1;
    }
    return most;
  };
  return {
    question: change.verdict === 'no-detectable-change' ? 'detectable' : 'noticeable',
    more_responses_per_position: smallest((more) => ({
      positions: 1,
      responses: (responses_per_position + more) / responses_per_position,
      dof: 0,
    })),
    more_positions: smallest((more) => ({
      positions: (positions + more) / positions,
      responses: 1,
      dof: more * POOLED_BANDS,
    })),
  };
}

/** How many times the positions, and the responses at each, of the plan so far; and degrees of freedom added. */
interface Plan {
  positions: number;
  responses: number;
  dof: number;
}

/** Half-width of the interval under a plan, on the scale changes are reckoned on. */
function predicted(change: ChangeValue, plan: Plan): number {
  const shrink: Record<Contribution['source'], number> = {
    bound: plan.positions,
    positions: plan.positions,
    range: plan.positions * plan.responses,
    repeatability: plan.positions * plan.responses,
    fit: 1,
    temperature: 1,
  };
  const variance = change.budget.reduce((sum, line) => sum + line.standard_uncertainty ** 2 / shrink[line.source], 0);
  const factor =
    plan.dof === 0 || change.dof === null ? change.coverage_factor! : coverageFactor(change.dof + plan.dof);
  return factor * Math.sqrt(variance);
}

function settles(change: ChangeValue, half: number): boolean {
  const ratio_scale = isRatio(change.quantity);
  const centre = ratio_scale ? Math.log(change.ratio!) : change.difference!;
  const back = (value: number) => (ratio_scale ? Math.expm1(value) : value);
  const limit = JUST_NOTICEABLE[change.quantity];
  const [low, high] = [back(centre - half), back(centre + half)];
  const within = low > -limit && high < limit;
  if (change.verdict !== 'no-detectable-change') return within || low > limit || high < -limit;
  return within || low > 0 || high < 0;
}
