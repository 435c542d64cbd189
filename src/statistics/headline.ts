import type { BandQuantity } from '../room/reading.ts';
import type { ChangeValue, Headline } from './finding.ts';
import { holm } from './holm.ts';

/** A quantity that may carry the headline, over the headline bands. */
export interface HeadlineCandidate {
  quantity: BandQuantity;
  /** Changes of the single bands, those not measurable too. */
  bands: readonly ChangeValue[];
  /** Change of the mean over the measurable ones. */
  mean: (bands: readonly ChangeValue[]) => ChangeValue;
}

export interface HeadlineInput {
  /** In order of preference. */
  candidates: readonly HeadlineCandidate[];
  /** Bands in which a decay of two slopes was found in either stage. */
  two_slopes_hz: readonly number[];
}

const FAMILY_ERROR = 0.05;

/**
 * The one claim of a comparison. Its quantity is the first candidate measurable in every headline band, else the one measurable
 * in most. Its ratio and interval are those of the mean of the bands. A change is claimed where that interval leaves out no
 * change, and at least one band stands by itself in the same direction after Holm's correction for looking at all of them, and
 * none in the other: so under no change at all at most 5 % of headlines claim one.
 */
export function headline({ candidates, two_slopes_hz }: HeadlineInput): Headline {
  const reasons: string[] = [];
  if (two_slopes_hz.length > 0) reasons.push(`the decay has two slopes at ${two_slopes_hz.join(' and ')} Hz`);
  const chosen = choose(candidates);
  if (chosen === null) {
    const why =
      candidates[0]?.bands.flatMap((band) => band.reasons.map((reason) => `${band.centre_hz} Hz: ${reason}`)) ?? [];
    return { ...NO_HEADLINE, bands_hz: [], reasons: [...reasons, ...why] };
  }
  for (const band of chosen.bands) {
    if (band.verdict === 'not-measurable')
      reasons.push(`${band.centre_hz} Hz not measurable: ${band.reasons.join('; ')}`);
  }
  const usable = chosen.bands.filter((band) => band.verdict !== 'not-measurable');
  const change = chosen.mean(usable);
  const verdict = corrected(change, usable);
  if (verdict !== change.verdict) {
    reasons.push('the mean of the bands changed, but no single band stands after correction for the number of bands');
  }
  return {
    quantity: chosen.quantity,
    bands_hz: usable.map((band) => band.centre_hz as number),
    ratio: change.ratio,
    low: change.percent_low === null ? null : 1 + change.percent_low / 100,
    high: change.percent_high === null ? null : 1 + change.percent_high / 100,
    percent: change.percent,
    percent_low: change.percent_low,
    percent_high: change.percent_high,
    verdict,
    noticeable: verdict === change.verdict ? change.noticeable : 'unclear',
    scope: change.scope,
    reasons: [...reasons, ...change.reasons],
  };
}

function choose(candidates: readonly HeadlineCandidate[]): HeadlineCandidate | null {
  let best: HeadlineCandidate | null = null;
  let most = 0;
  for (const candidate of candidates) {
    const measurable = candidate.bands.filter((band) => band.verdict !== 'not-measurable').length;
    if (measurable > most) {
      most = measurable;
      best = candidate;
    }
  }
  return best;
}

function corrected(change: ChangeValue, bands: readonly ChangeValue[]): Headline['verdict'] {
  if (change.verdict === 'no-detectable-change') return change.verdict;
  const p_values = holm(bands.map((band) => band.p_value!));
  const standing = bands.filter((_, i) => p_values[i]! < FAMILY_ERROR);
  const agree = standing.every((band) => Math.sign(band.difference!) === Math.sign(change.difference!));
  return standing.length > 0 && agree ? change.verdict : 'no-detectable-change';
}

const NO_HEADLINE = {
  quantity: null,
  ratio: null,
  low: null,
  high: null,
  percent: null,
  percent_low: null,
  percent_high: null,
  verdict: 'not-measurable',
  noticeable: 'unclear',
  scope: 'position',
} as const;
