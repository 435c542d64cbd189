import { layerReach } from '../room/layer-reach.ts';
import { absorptionAt, guardAbsorptionAt } from '../room/materials.ts';
import { predictDecay, predictedGain } from '../room/prediction.ts';
import type { AdviceStatus, Forecast, ForecastBand, ForecastReason } from './advice.ts';
import { type Candidate, callsForAbsorption, type Start, type StartBand, tooLong, wouldOvershoot } from './start.ts';
import { type Worth, worthOf } from './worth.ts';

/**
 * What a candidate would do in each octave that was read, with intervals of about 95 %, how much of the missing absorption it makes up, and
 * whether it is worth recommending: only where some octave is too long at 95 %, where it gains, adds mostly what is missing,
 * takes no octave below its tolerance, is not too thin for all that are too long, and fits the budget and the free area. An octave its
 * data leave blank counts as nothing gained, yet is guarded against becoming too dead with the coefficient given next to it. Ranks are given later.
 */
export function forecast(candidate: Candidate, start: Start): Forecast {
  const bands = start.bands.map((band) => forecastBand(candidate, band));
  const wanted = tooLong(start);
  const predictable = bands.some(({ gain }) => gain !== null);
  const worth = worthOf(
    start.bands,
    bands.map(({ predicted, now_s }) => predicted?.time_s ?? now_s),
  );
  const closes_m2 = predictable ? worth.closes_m2 : null;
  const overshoots_hz = start.bands
    .filter((band) =>
      wouldOvershoot(band, (candidate.area ?? 0) * guardAbsorptionAt(candidate.absorption, band.now.centre_hz)),
    )
    .map(({ now }) => now.centre_hz);
  const reach =
    candidate.thickness === undefined
      ? null
      : layerReach({ thickness_m: candidate.thickness / 1000, gap_m: (candidate.air_gap ?? 0) / 1000 });
  const thin = (hz: number) =>
    reach !== null && hz < reach.half_from_hz && (absorptionAt(candidate.absorption, hz) ?? 0) < 0.5;
  const thin_for_hz = wanted.map(({ now }) => now.centre_hz).filter(thin);
  const against = objections(candidate, start, {
    predictable,
    worth,
    overshoots_hz,
    tooThin: wanted.length > 0 && thin_for_hz.length === wanted.length,
  });
  const per = (amount: number | undefined) =>
    closes_m2 === null || amount === undefined || amount === 0 ? null : closes_m2 / amount;
  return {
    option: candidate.option,
    material: candidate.material,
    name: candidate.name,
    area_m2: candidate.area ?? null,
    cost: candidate.cost ?? null,
    bands,
    closes_m2,
    closes_per_m2: per(candidate.area),
    closes_per_cost: per(candidate.cost),
    useful_share: worth.useful_share,
    overshoots_hz,
    reach,
    thin_for_hz,
    recommended: against.length === 0,
    rank: null,
    reasons: against.length === 0 ? ['recommended'] : against,
  };
}

function forecastBand(candidate: Candidate, band: StartBand): ForecastBand {
  const { centre_hz, time_s, expanded_uncertainty_s } = band.now;
  const alpha = absorptionAt(candidate.absorption, centre_hz);
  if (alpha === null || candidate.area === undefined) {
    return { centre_hz, alpha, now_s: time_s, gain: null, predicted: null };
  }
  const gain = predictedGain([{ area_m2: candidate.area, alpha, basis: candidate.basis }], centre_hz);
  const predicted = predictDecay({ ...band.room, now_expanded_s: expanded_uncertainty_s, gain });
  return { centre_hz, alpha, now_s: time_s, gain, predicted };
}

const STATUS_OBJECTION: Partial<Record<AdviceStatus, ForecastReason>> = {
  'not-measured': 'not-measured',
  'no-target': 'no-target',
  met: 'target-met',
  'too-dead': 'too-dead-already',
  unclear: 'unclear',
};

function objections(
  candidate: Candidate,
  start: Start,
  found: { predictable: boolean; worth: Worth; overshoots_hz: number[]; tooThin: boolean },
): ForecastReason[] {
  const reasons: ForecastReason[] = [];
  const byStatus = STATUS_OBJECTION[start.status];
  if (byStatus) reasons.push(byStatus);
  if (candidate.area === undefined) reasons.push('no-area');
  else if (!found.predictable) reasons.push('no-data');
  if (found.predictable && callsForAbsorption(start.status)) {
    if (!found.worth.gains) reasons.push('no-gain');
    else if (!found.worth.focused) reasons.push('wrong-octaves');
  }
  if (found.overshoots_hz.length > 0) reasons.push('overshoots');
  if (start.budget !== null && candidate.cost !== undefined && candidate.cost > start.budget)
    reasons.push('over-budget');
  if (start.free_area_m2 !== null && (candidate.area ?? 0) > start.free_area_m2) reasons.push('over-area');
  if (found.tooThin) reasons.push('thin-layer');
  return reasons;
}

/**
 * The forecasts with ranks, best first: by missing absorption made up per money where every recommended one has a cost above zero,
 * else per square metre. Those not recommended follow in the order given, without a rank.
 */
export function ranked(forecasts: readonly Forecast[]): { forecasts: Forecast[]; by: 'cost' | 'area' | null } {
  const recommended = forecasts.filter((entry) => entry.recommended);
  const by =
    recommended.length === 0 ? null : recommended.every(({ cost }) => cost !== null && cost > 0) ? 'cost' : 'area';
  const merit = (entry: Forecast) => (by === 'cost' ? entry.closes_per_cost! : (entry.closes_per_m2 ?? 0));
  const best = recommended
    .toSorted((a, b) => merit(b) - merit(a))
    .map((entry, index) => ({ ...entry, rank: index + 1 }));
  return { forecasts: [...best, ...forecasts.filter((entry) => !entry.recommended)], by };
}
