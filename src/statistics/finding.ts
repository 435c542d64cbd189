import type { BandQuantity, BandWidth } from '../room/reading.ts';

/** A nominal midband, or the mean of the 500 and 1000 Hz octaves. */
export type Centre = number | 'mid';

export type Scope = 'room' | 'position';
export type Verdict = 'reduced' | 'increased' | 'no-detectable-change' | 'not-measurable';
export type Noticeable = 'yes' | 'no' | 'unclear';

/** One line of the uncertainty budget. */
export interface Contribution {
  source: 'positions' | 'repeatability' | 'fit' | 'range' | 'temperature';
  /** In the unit of the quantity. */
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
}

export interface StageFinding {
  id: string;
  values: StageValue[];
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
