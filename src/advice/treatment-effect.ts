import type { Project, Treatment } from '../project/project.ts';
import { roomSurface_m2 } from '../project/room-size.ts';
import { absorptionChange } from '../room/absorption-change.ts';
import { layerReach } from '../room/layer-reach.ts';
import { absorptionAt } from '../room/materials.ts';
import { octaveStanding } from '../room/mode-advice.ts';
import { schroederFrequency_hz } from '../room/modes.ts';
import { type Addition, type PredictedGain, predictDecay, predictedGain } from '../room/prediction.ts';
import type { Change, ChangeValue, StageFinding } from '../statistics/finding.ts';
import { coverageFactor } from '../statistics/student-t.ts';
import type { EffectBand, EffectClaim, ShortfallReason, TreatmentEffect } from './advice.ts';
import { predictionRoom, stageAir } from './conditions.ts';
import { type GivenValue, OCTAVE_CENTRES_HZ, sharedDecay } from './stage-decay.ts';

interface Comparison {
  project: Project;
  change: Change;
  from: StageFinding;
  to: StageFinding;
  volume_m3: number;
  treatments: Treatment[];
  area_m2: number | null;
}

/**
 * What a change of stages did to the room's absorption, octave by octave (ISO 354:2003, with the air term where the humidity is stated),
 * per square metre of product and of money, beside what the data of the products promise. What is claimed follows the verdict on the
 * decay time, never the other way round. null where the volume is unknown, a stage is missing, or the comparison runs backwards.
 */
export function treatmentEffect(input: {
  project: Project;
  change: Change;
  stages: readonly StageFinding[];
  volume_m3: number | null;
}): TreatmentEffect | null {
  const { project, change, stages, volume_m3 } = input;
  const from = stages.find(({ id }) => id === change.from);
  const to = stages.find(({ id }) => id === change.to);
  const ids = project.stages.map(({ id }) => id);
  const [start, end] = [ids.indexOf(change.from), ids.indexOf(change.to)];
  if (!from || !to || volume_m3 === null || start < 0 || end <= start) return null;
  const treatments = project.stages.slice(start + 1, end + 1).flatMap((stage) => stage.treatments);
  const area_m2 = sumOf(treatments.map(({ area }) => area));
  const cost = sumOf(treatments.map((treatment) => treatment.cost));
  const comparison: Comparison = { project, change, from, to, volume_m3, treatments, area_m2 };
  const bands = OCTAVE_CENTRES_HZ.map((centre_hz) => effectBand(comparison, centre_hz));
  const names = treatments.map(({ name }) => name);
  return {
    from: from.id,
    to: to.id,
    treatments: names,
    area_m2,
    cost,
    bands,
    cost_per_m2: cost === null ? null : costPer(cost, bands),
  };
}

/** The sum where every part is stated and there is one at all, else null. */
function sumOf(parts: readonly (number | undefined)[]): number | null {
  if (parts.length === 0 || parts.some((part) => part === undefined)) return null;
  return parts.reduce<number>((sum, part) => sum + part!, 0);
}

function effectBand(comparison: Comparison, centre_hz: number): EffectBand {
  const { change, from, to, area_m2 } = comparison;
  const pair = sharedDecay(from, to, centre_hz);
  if (!pair) return emptyBand(centre_hz);
  const { before, after } = pair;
  const verdict = change.values.find(
    (value) => value.quantity === before.quantity && value.width === 'octave' && value.centre_hz === centre_hz,
  );
  if (!verdict || verdict.verdict === 'not-measurable') return emptyBand(centre_hz);
  const gained = measuredGain(comparison, { before, after, centre_hz, correlation: verdict.correlation });
  const promise = promised(comparison, before, centre_hz);
  const versus = promise === null ? null : compared(gained, promise.gain);
  const per = (value: number) => (area_m2 === null ? null : value / area_m2);
  return {
    centre_hz,
    quantity: before.quantity,
    claim: claimOf(verdict, gained.gain_m2),
    ...gained,
    per_m2: per(gained.gain_m2),
    per_m2_low: per(gained.low_m2),
    per_m2_high: per(gained.high_m2),
    measured_s: after.value,
    predicted_gain: promise?.gain ?? null,
    predicted: promise?.decay ?? null,
    versus,
    usual_gap: versus === 'less' ? gained.high_m2 >= promise!.gain.low_m2 : null,
    reasons: versus === 'less' ? shortfallReasons(comparison, after.value, centre_hz) : [],
  };
}

function emptyBand(centre_hz: number): EffectBand {
  return {
    centre_hz,
    quantity: null,
    claim: 'not-measurable',
    gain_m2: null,
    standard_uncertainty_m2: null,
    low_m2: null,
    high_m2: null,
    air_term: false,
    per_m2: null,
    per_m2_low: null,
    per_m2_high: null,
    measured_s: null,
    predicted_gain: null,
    predicted: null,
    versus: null,
    usual_gap: null,
    reasons: [],
  };
}

interface Gain {
  gain_m2: number;
  standard_uncertainty_m2: number;
  low_m2: number;
  high_m2: number;
  air_term: boolean;
}

function measuredGain(
  { project, change, volume_m3 }: Comparison,
  pair: { before: GivenValue; after: GivenValue; centre_hz: number; correlation: number },
): Gain {
  const timed = (value: GivenValue, stage: string) => ({
    time_s: value.value,
    standard_uncertainty_s: value.standard_uncertainty,
    dof: value.dof,
    ...stageAir(project, stage),
  });
  const found = absorptionChange({
    volume_m3,
    surface_m2: roomSurface_m2(project.room),
    centre_hz: pair.centre_hz,
    before: timed(pair.before, change.from),
    after: timed(pair.after, change.to),
    correlation: pair.correlation,
  });
  const half_m2 = coverageFactor(found.dof) * found.standard_uncertainty_m2;
  return {
    gain_m2: found.area_m2,
    standard_uncertainty_m2: found.standard_uncertainty_m2,
    low_m2: found.area_m2 - half_m2,
    high_m2: found.area_m2 + half_m2,
    air_term: found.air_term,
  };
}

function claimOf(change: ChangeValue, gain_m2: number): EffectClaim {
  if (change.verdict === 'reduced') return gain_m2 > 0 ? 'gained' : 'none-detected';
  if (change.verdict === 'increased') return gain_m2 < 0 ? 'lost' : 'none-detected';
  return change.verdict === 'no-detectable-change' ? 'none-detected' : 'not-measurable';
}

function promised({ project, change, treatments }: Comparison, before: GivenValue, centre_hz: number) {
  const additions = treatments.map((treatment): Addition | null => {
    const alpha = absorptionAt(treatment.absorption, centre_hz);
    return alpha === null || treatment.area === undefined
      ? null
      : { area_m2: treatment.area, alpha, basis: 'product' as const };
  });
  if (additions.length === 0 || additions.some((addition) => addition === null)) return null;
  const gain = predictedGain(additions as Addition[], centre_hz);
  const room = predictionRoom(project, change.from, { centre_hz, now_s: before.value })!;
  return { gain, decay: predictDecay({ ...room, now_expanded_s: before.expanded_uncertainty, gain }) };
}

function compared(gain: Gain, promise: PredictedGain): EffectBand['versus'] {
  if (gain.high_m2 < promise.gain_m2) return 'less';
  return gain.low_m2 > promise.gain_m2 ? 'more' : 'agrees';
}

function shortfallReasons(comparison: Comparison, after_s: number, centre_hz: number): ShortfallReason[] {
  const thin = comparison.treatments.some(
    ({ thickness, air_gap }) =>
      thickness !== undefined &&
      layerReach({ thickness_m: thickness / 1000, gap_m: (air_gap ?? 0) / 1000 }).half_from_hz > centre_hz,
  );
  const schroeder_hz = schroederFrequency_hz(after_s, comparison.volume_m3);
  const modal = octaveStanding(centre_hz, schroeder_hz) !== 'statistical';
  return [
    ...(thin ? (['thin-layer'] as const) : []),
    ...(modal ? (['modal-band'] as const) : []),
    'field-not-diffuse',
    'shielded-place',
  ];
}

function costPer(cost: number, bands: readonly EffectBand[]): TreatmentEffect['cost_per_m2'] {
  const mid = bands.filter(({ centre_hz, claim }) => (centre_hz === 500 || centre_hz === 1000) && claim === 'gained');
  if (mid.length < 2) return null;
  const mean = (of: (band: EffectBand) => number) => (of(mid[0]!) + of(mid[1]!)) / 2;
  const low_m2 = mean((band) => band.low_m2!);
  return {
    value: cost / mean((band) => band.gain_m2!),
    low: cost / mean((band) => band.high_m2!),
    high: low_m2 > 0 ? cost / low_m2 : null,
  };
}
