import type { BandQuantity } from '../room/reading.ts';
import type { Verdict } from '../statistics/finding.ts';
import type { NumberMarks } from './theme.ts';

/** Every word a chart shows or its description says. A second language is a second record of this type. */
export interface ChartWords {
  marks: NumberMarks;
  /** Quantity as an axis names it, without the unit. */
  quantity: Record<BandQuantity, string>;
  seconds: string;
  decibels: string;
  band_axis: string;
  target: string;
  not_measurable: string;
  between: string;
  verdict: Record<Verdict, string>;
  noticeable_below: (limit: string) => string;
  axis: (quantity: string, unit: string) => string;
  change_axis: (quantity: string, unit: string) => string;
  title: {
    cover: (what: { quantity: string; from: string; to: string }) => string;
    decay: (quantity: string) => string;
    change: (what: { quantity: string; from: string; to: string }) => string;
  };
  alt: {
    values: (stage: string, values: string) => string;
    value_at: (value: string, band: string) => string;
    refused: (stage: string, bands: string) => string;
    between: (count: number) => string;
    target: string;
    change_at: (what: { band: string; value: string; low: string; high: string }) => string;
    interval: string;
    seconds_short: string;
  };
  /** Why a chart is not there. */
  skipped: {
    no_values: string;
    no_change: string;
    no_traces: string;
    one_stage: string;
  };
  join: (parts: readonly string[]) => string;
}

export const ENGLISH: ChartWords = {
  marks: { decimal: '.', thousands: ',' },
  quantity: {
    edt_s: 'Early decay time EDT',
    t20_s: 'Decay time T20',
    t30_s: 'Decay time T30',
    tfull_s: 'Full-range decay time',
    c50_db: 'Clarity C50',
    c80_db: 'Clarity C80',
    d50: 'Definition D50',
    ts_s: 'Centre time',
    late_level_db: 'Level of the late sound',
  },
  seconds: 'seconds',
  decibels: 'dB',
  band_axis: 'Octave band, Hz',
  target: 'Target range',
  not_measurable: 'not measurable',
  between: 'Stages between',
  verdict: {
    reduced: 'reduced',
    increased: 'increased',
    'no-detectable-change': 'no detectable change',
    'not-measurable': 'not measurable',
  },
  noticeable_below: (limit) => `Too small to notice (±${limit})`,
  axis: (quantity, unit) => `${quantity}, ${unit}`,
  change_axis: (quantity, unit) => `Change of ${lowerFirst(quantity)}, ${unit}`,
  title: {
    cover: ({ quantity, from, to }) => `${quantity} by octave band: ${from} and ${to}`,
    decay: (quantity) => `${quantity} by octave band and stage`,
    change: ({ quantity, from, to }) => `Change of ${lowerFirst(quantity)} by octave band, ${from} to ${to}`,
  },
  alt: {
    values: (stage, values) => `${stage}: ${values}.`,
    value_at: (value, band) => `${value} at ${band}`,
    refused: (stage, bands) => `${stage}: not measurable at ${bands}.`,
    between: (count) => `The ${count} stages between are drawn as pale lines without marks.`,
    target: 'The target range is shaded.',
    change_at: ({ band, value, low, high }) => `${band}: ${value} (${low} to ${high})`,
    interval: 'Bars are 95 % intervals.',
    seconds_short: 's',
  },
  skipped: {
    no_values: 'no value could be measured',
    no_change: 'no change could be measured',
    no_traces: 'no response is usable on both sides of the comparison',
    one_stage: 'there is only one stage',
  },
  join: (parts) => (parts.length < 2 ? parts.join('') : `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`),
};

/** First letter small, unless the word is an abbreviation. */
function lowerFirst(text: string): string {
  return /^\p{Lu}\p{Lu}/u.test(text) ? text : text.charAt(0).toLowerCase() + text.slice(1);
}
