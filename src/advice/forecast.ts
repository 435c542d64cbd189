import type { Treatment } from '../project/project.ts';
import { DECAY_CONSTANT } from '../room/absorption.ts';
import { layerReach } from '../room/layer-reach.ts';
import { absorptionAt, guardAbsorptionAt } from '../room/materials.ts';
import {
  type CoefficientBasis,
  type PredictionRoom,
  predictDecay,
  predictedGain,
  predictedTime_s,
} from '../room/prediction.ts';
import type { BandDistance, DecayEstimate } from '../room/target-distance.ts';
import type { AdviceStatus, Forecast, ForecastBand, ForecastReason } from './advice.ts';

/** One octave as advice starts from it: the reading, the target where there is one, and what a prediction needs. */
export interface StartBand {
  now: DecayEstimate;
  room: PredictionRoom;
  distance: BandDistance | null;
}

/** What forecasts are held against. */
export interface Start {
  status: AdviceStatus;
  bands: readonly StartBand[];
  budget: number | null;
  free_area_m2: number | null;
}

/** A thing to be judged: a listed option or a row of the table of materials at some area. */
export interface Candidate extends Pick<Treatment, 'name' | 'area' | 'thickness' | 'air_gap' | 'cost' | 'absorption'> {
  option: number | null;
  material: string | null;
  basis: CoefficientBasis;
}

/** Less mean absorption than this is no gain worth naming, square metres (our choice). */
const LEAST_GAIN_M2 = 0.1;

/** The octaves that lie above their tolerance at 95 %: the only ones more absorption is for. */
export function tooLong(start: Start): StartBand[] {
  return start.bands.filter(({ distance }) => distance?.state === 'too-long');
}

/** Whether the room calls for absorption at all. */
export function callsForAbsorption(status: AdviceStatus): boolean {
  return status === 'too-long' || status === 'mixed';
}

/** Under this share of useful absorption an option mostly deadens octaves that lack nothing (our choice). */
const LEAST_USEFUL_SHARE = 0.5;

/**
 * Missing absorption in square metres that a change of decay time makes up in one octave with a target; beyond the target nothing more
 * is counted, and nothing where it has been reached. 55.3 V / c (1/T - 1/T_now), T held at the target.
 */
function closed_m2(distance: BandDistance, time_s: number): number {
  const { now_s, target_s, missing_m2 } = distance;
  if (now_s <= target_s || time_s >= now_s) return 0;
  const reached_s = Math.max(time_s, target_s);
  return (missing_m2 * (1 / reached_s - 1 / now_s)) / (1 / target_s - 1 / now_s);
}

/** The same for all that the change of decay time stands for, useful or not. */
function added_m2({ room, now }: StartBand, time_s: number): number {
  return ((DECAY_CONSTANT * room.volume_m3) / room.speed_m_s) * Math.max(0, 1 / time_s - 1 / now.time_s);
}

/** What a set of predicted times is worth. */
export interface Worth {
  /** Missing absorption made up, mean over the octaves that are too long, square metres; null where none is. */
  closes_m2: number | null;
  useful_share: number | null;
  /** Whether it is enough to speak of, and mostly goes where it is missing. */
  gains: boolean;
  focused: boolean;
}

/** Weighs predicted times, one for each band of `bands`, against the targets. Bands without a target do not count. */
export function worthOf(bands: readonly StartBand[], times_s: readonly number[]): Worth {
  let wanted = 0;
  let closed = 0;
  let useful = 0;
  let added = 0;
  bands.forEach((band, index) => {
    if (band.distance === null) return;
    const made_m2 = closed_m2(band.distance, times_s[index]!);
    useful += made_m2;
    added += added_m2(band, times_s[index]!);
    if (band.distance.state !== 'too-long') return;
    wanted++;
    closed += made_m2;
  });
  const closes_m2 = wanted === 0 ? null : closed / wanted;
  const useful_share = added > 0 ? Math.min(1, useful / added) : null;
  return {
    closes_m2,
    useful_share,
    gains: closes_m2 !== null && closes_m2 >= LEAST_GAIN_M2,
    focused: useful_share !== null && useful_share >= LEAST_USEFUL_SHARE,
  };
}

/** Whether adding `gain_m2` takes an octave with a target below its tolerance, or further below. */
export function wouldOvershoot(band: StartBand, gain_m2: number): boolean {
  return gain_m2 > 0 && band.distance !== null && timeWith(band, gain_m2) < band.distance.low_s;
}

/**
 * What a candidate would do in each octave that was read, with intervals of about 95 %, how much of the missing absorption it makes up, and
 * whether it is worth recommending: only where some octave is too long at 95 %, where it gains, adds mostly what is missing, takes no octave below its tolerance,
 * is not too thin for all that are too long, and fits the budget and the free area. An octave its data leave blank counts as nothing
 * gained, yet is guarded against becoming too dead with the coefficient given next to it. Ranks are given later.
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

/** Predicted decay time in seconds of an octave after `gain_m2` is added to it. */
export function timeWith(band: StartBand, gain_m2: number): number {
  return gain_m2 === 0 ? band.now.time_s : predictedTime_s(band.room, gain_m2);
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
