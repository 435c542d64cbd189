import type { FirstReflection, MatchedReflection } from '../room/image-sources.ts';
import type { LayerReach, NeededLayer } from '../room/layer-reach.ts';
import type { ModeSummary } from '../room/mode-advice.ts';
import type { PredictedDecay, PredictedGain } from '../room/prediction.ts';
import type { BandQuantity } from '../room/reading.ts';
import type { BandDistance } from '../room/target-distance.ts';
import type { Target } from '../room/targets.ts';

/** What the measurements mean and what to do next, as data: codes and numbers. The words are the report's. */
export interface Advice {
  target: Target;
  /** The stage the advice starts from: the last with a decay time in some octave; null where nothing was measured. */
  stage: string | null;
  status: AdviceStatus;
  distance: BandDistance[];
  effects: TreatmentEffect[];
  /** What the room's surfaces, where they are listed, make one expect of it bare; null where none are. */
  bare: BarePrediction | null;
  /** What the forecasts start from: the stage above, or for want of any the prediction from the surfaces. */
  forecast_from: 'measured' | 'surfaces' | null;
  /** The listed options, best first where they are ranked, in the order listed where not. */
  options: Forecast[];
  /** Generic absorbers from the table of materials, best first; only where more absorption is called for and no option is listed. */
  generic: Forecast[];
  ranked_by: 'cost' | 'area' | null;
  combinations: CombinationSearch;
  /** One for each octave that is too long: what depth of absorber it takes. */
  needed: NeededLayer[];
  low_frequency: LowFrequency | null;
  placement: Placement[];
  /** What must stand beside any of it that has someone buy, cut, fix or climb; empty where nothing is suggested. */
  cautions: Caution[];
}

/**
 * too-long: some octave is, at 95 %, and none is too dead. mixed: both occur. unclear: no octave is off at 95 %, yet not all are surely
 * within. Only too-long and mixed call for absorption.
 */
export type AdviceStatus = 'not-measured' | 'no-target' | 'met' | 'too-long' | 'too-dead' | 'mixed' | 'unclear';

/** The bare room predicted from its surfaces, beside what was measured in the first stage. */
export interface BarePrediction {
  bands: { centre_hz: number; predicted: PredictedDecay; measured_s: number | null }[];
  /** Materials named in the project that the table does not hold: with any of them there is no prediction. */
  unknown_materials: string[];
}

/** Follows the verdict on the decay time of the band; none-detected also where the air explains the change. */
export type EffectClaim = 'gained' | 'lost' | 'none-detected' | 'not-measurable';

/** Why a product may bring less than its data promise. */
export type ShortfallReason = 'thin-layer' | 'modal-band' | 'field-not-diffuse' | 'shielded-place';

export interface EffectBand {
  centre_hz: number;
  quantity: BandQuantity | null;
  claim: EffectClaim;
  /** Change in equivalent absorption area, square metres, with its 95 % interval; null where not measurable. */
  gain_m2: number | null;
  standard_uncertainty_m2: number | null;
  low_m2: number | null;
  high_m2: number | null;
  /** Whether the air's absorption was taken out; without humidity it cannot be. */
  air_term: boolean;
  /** The same per square metre of product; null where its area is not stated. */
  per_m2: number | null;
  per_m2_low: number | null;
  per_m2_high: number | null;
  measured_s: number | null;
  /** What the data of the products promise, where every one of them has a coefficient and an area. */
  predicted_gain: PredictedGain | null;
  predicted: PredictedDecay | null;
  /** less, more: the whole 95 % interval lies beyond what the data promise. agrees: it does not. */
  versus: 'less' | 'more' | 'agrees' | null;
  /** Whether a gain below promise is one that rooms usually show. null where versus is not less. */
  usual_gap: boolean | null;
  reasons: ShortfallReason[];
}

export interface TreatmentEffect {
  from: string;
  to: string;
  treatments: string[];
  area_m2: number | null;
  cost: number | null;
  bands: EffectBand[];
  /** Cost over the mean gain at 500 and 1000 Hz, and its interval; null unless both gained and every cost is stated. */
  cost_per_m2: { value: number; low: number; high: number | null } | null;
}

export type ForecastReason =
  | 'recommended'
  | 'not-measured'
  | 'no-target'
  | 'target-met'
  | 'too-dead-already'
  | 'unclear'
  | 'no-data'
  | 'no-area'
  | 'no-gain'
  | 'overshoots'
  | 'wrong-octaves'
  | 'over-budget'
  | 'over-area'
  | 'thin-layer'
  | 'stopped-before-too-dead'
  | 'limited-by-area';

export interface ForecastBand {
  centre_hz: number;
  alpha: number | null;
  now_s: number;
  gain: PredictedGain | null;
  predicted: PredictedDecay | null;
}

/** What one option would do. */
export interface Forecast {
  /** Place in the project's list of options; null for a generic absorber. */
  option: number | null;
  /** Row of the table of materials; null for a listed option. */
  material: string | null;
  name: string;
  area_m2: number | null;
  cost: number | null;
  bands: ForecastBand[];
  /** Missing absorption it makes up, square metres, mean over the octaves that are too long; never counted beyond the target. */
  closes_m2: number | null;
  closes_per_m2: number | null;
  closes_per_cost: number | null;
  /** Of the absorption it adds over the octaves with a target, the share that was missing there; null where nothing is added or judged. */
  useful_share: number | null;
  /** Octaves it would take below the tolerance. */
  overshoots_hz: number[];
  reach: LayerReach | null;
  /** Octaves that are too long and in which a layer so shallow takes in less than about half. */
  thin_for_hz: number[];
  recommended: boolean;
  /** 1 is best; null where not recommended. */
  rank: number | null;
  reasons: ForecastReason[];
}

export interface Combination {
  kind: 'least-cost' | 'closest';
  /** Places in the project's list of options, ascending. */
  options: number[];
  area_m2: number;
  /** null where a cost is not stated. */
  cost: number | null;
  bands: { centre_hz: number; now_s: number; predicted: PredictedDecay }[];
  closes_m2: number;
  useful_share: number;
  /** Whether every octave with a target is predicted within its tolerance. */
  within_tolerance: boolean;
}

export interface CombinationSearch {
  /** Least cost (or area) that brings every octave within tolerance, and the one that comes closest to the target; one where they agree. */
  found: Combination[];
  /** Why there is none. */
  reason: 'searched' | 'not-called-for' | 'no-options' | 'too-many-options' | 'none-helps';
  budget: number | null;
  free_area_m2: number | null;
}

export interface LowFrequency {
  modes: ModeSummary;
  /** Octaves up to 500 Hz for which the stage has no decay time. */
  refused_hz: number[];
  /** The decay time the Schroeder frequency rests on: mean of 500 and 1000 Hz. */
  time_s: number;
}

export interface PlacementSpot {
  matched: MatchedReflection;
  likely: FirstReflection | null;
  /** More than one face fits. */
  ambiguous: boolean;
  /** Over 10 dB below the direct sound is not reached within 15 ms (EBU Tech 3276). */
  too_loud: boolean;
  /** absorb-there only where the room calls for absorption anyway. */
  action: 'absorb-there' | 'move-or-angle' | 'none';
}

export interface Placement {
  position: string;
  /** Whether the purpose asks for weak early reflections: rooms for recording and mixing. */
  asked: boolean;
  spots: PlacementSpot[];
}

export type Caution =
  | 'local-codes'
  | 'fire-behaviour'
  | 'fixings-overhead'
  | 'working-at-height'
  | 'fibre-dust'
  | 'old-materials';
