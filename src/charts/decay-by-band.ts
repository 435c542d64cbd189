import type { BandQuantity } from '../room/reading.ts';
import { type BandValue, bandsOf, type TargetBand } from './band-rows.ts';
import { type ChartBasis, frame } from './basis.ts';
import type { Chart, SkippedChart } from './chart.ts';
import type { LabelledStage } from './stage-label.ts';
import { HEIGHT_PX } from './theme.ts';
import { valueLayers } from './value-layers.ts';
import { valuesAlt } from './values-alt.ts';

/**
 * Decay time by octave band, one line a stage, with 95 % intervals and the target range.
 *
 * @param input.rows values in seconds, one a stage and band; those that were refused carry null and are marked, never drawn as zero
 * @param input.stages the stages to draw, first to last
 * @param input.target range per band in seconds, or null where there is none
 * @returns the chart, or the reason why it cannot be drawn
 */
export function decayByBand(
  input: {
    rows: readonly BandValue[];
    stages: readonly LabelledStage[];
    target: readonly TargetBand[] | null;
    quantity: BandQuantity;
  },
  basis: ChartBasis,
): Chart | SkippedChart {
  const id = 'decay-by-band';
  const { words } = basis;
  if (!input.rows.some((row) => row.value !== null)) return { id, reason: words.skipped.no_values };
  const quantity = words.quantity[input.quantity];
  const bands = bandsOf(input.rows);
  const target = input.target?.filter((row) => bands.includes(row.centre_hz)) ?? null;
  return {
    id,
    title: words.title.decay(quantity),
    alt: valuesAlt({ ...input, target, unit: words.alt.seconds_short, decimals: 2 }, basis),
    spec: {
      ...frame(basis),
      height: HEIGHT_PX.band,
      layer: valueLayers({ ...input, target, axis: words.axis(quantity, words.seconds), from_zero: true }, basis),
    },
  };
}
