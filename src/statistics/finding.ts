import type { BandQuantity, BandWidth } from '../room/reading.ts';

/** A nominal midband, or the mean of the 500 and 1000 Hz octaves. */
export type Centre = number | 'mid';

export type Scope = 'room' | 'position';
export type Verdict = 'reduced' | 'increased' | 'no-detectable-change' | 'not-measurable';
export type Noticeable = 'yes' | 'no' | 'unclear';

/**
 * bound: what theory says no single place can do better than. positions: the spread over the room beyond that bound.
 * range: noise of the one recording. repeatability: whatever else differs from clap to clap. fit: the reading's own error.
 * temperature: the speed of sound where the air differs.
 */
export type ContributionSource = 'bound' | 'positions' | 'repeatability' | 'fit' | 'range' | 'temperature';

/** One line of the uncertainty budget. */
export interface Contribution {
  source: ContributionSource;
  /** In the unit of the quantity; of a change in a time, of ln(after / before). */
  standard_uncertainty: number;
  /** null: known, not estimated (infinitely many). */
  dof: number | null;
}

export interface StageValue {
  quantity: BandQuantity;
  width: BandWidth;
  centre_hz: Centre;
  value: number | null;
  standard_uncertainty: number | null;
  expanded_uncertainty: number | null;
  coverage_factor: number | null;
  dof: number | null;
  responses: number;
  positions: number;
  scope: Scope;
  status: 'measured' | 'flagged' | 'unavailable';
  reasons: string[];
  budget: Contribution[];
  /** Spread over positions over its theoretical floor, as used here; null where there is no value. */
  overdispersion: number | null;
  /** True where one position leaves the overdispersion to be assumed. */
  overdispersion_assumed: boolean;
}

export interface StageFinding {
  id: string;
  values: StageValue[];
}

/** How many more of one thing, the other left as it is, would settle an undecided change; null: no number up to 12 would. */
export interface Settling {
  /** What is open: whether anything changed, or whether the change is noticeable. */
  question: 'detectable' | 'noticeable';
  more_responses_per_position: number | null;
  more_positions: number | null;
}

export interface ChangeValue {
  quantity: BandQuantity;
  width: BandWidth;
  centre_hz: Centre;
  /** Difference of the two stage means, in the unit of the quantity. */
  difference: number | null;
  /** Times only: after over before. */
  ratio: number | null;
  percent: number | null;
  /** 95 % interval of the difference. */
  low: number | null;
  high: number | null;
  percent_low: number | null;
  percent_high: number | null;
  /** Two-sided probability of so large a change by chance, before any correction for many looks. */
  p_value: number | null;
  /** The same corrected for looking at every band of this quantity (Holm 1979); null for the mean of bands. */
  p_holm: number | null;
  /** Of ln(after / before) for times, else in the unit of the quantity. */
  standard_uncertainty: number | null;
  dof: number | null;
  coverage_factor: number | null;
  budget: Contribution[];
  /** Correlation of the two stages over shared positions that shortens the interval; 0 where none may be relied on. */
  correlation: number;
  /** Times only: most that the difference in air can have changed the value, in per cent; null where it cannot be told. */
  air_percent: number | null;
  /** What would settle a value that is undecided; null where nothing is open. */
  to_settle: Settling | null;
  verdict: Verdict;
  noticeable: Noticeable;
  scope: Scope;
  /** How many positions the two stages share. 0: not paired. */
  shared_positions: number;
  reasons: string[];
}

/** The one sentence of a comparison, corrected for many looks (Holm 1979). */
export interface Headline {
  quantity: BandQuantity | null;
  bands_hz: number[];
  ratio: number | null;
  /** 95 % interval of the ratio. */
  low: number | null;
  high: number | null;
  percent: number | null;
  percent_low: number | null;
  percent_high: number | null;
  verdict: Verdict;
  noticeable: Noticeable;
  scope: Scope;
  reasons: string[];
}

export interface Change {
  from: string;
  to: string;
  headline: Headline;
  values: ChangeValue[];
  /** What else differs between the two stages besides the treatment, in plain sentences. */
  warnings: string[];
}
