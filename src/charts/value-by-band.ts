import type { BandQuantity } from '../room/reading.ts';
import { type BandValue, bandsOf, type TargetBand } from './band-rows.ts';
import { type ChartBasis, frame } from './basis.ts';
import type { Chart, SkippedChart } from './chart.ts';
import type { LabelledStage } from './stage-label.ts';
import { HEIGHT_PX } from './theme.ts';
import { valueLayers } from './value-layers.ts';
import { valuesAlt } from './values-alt.ts';

/**
 * A quantity by octave band, one line a stage, with 95 % intervals and, for decay times, the target range.
 *
 * @param input.rows values in the unit of the quantity, one a stage and band; those that were refused carry null and are marked,
 *   never drawn as zero. A time is in seconds and its axis starts at zero; a level is in dB.
 * @param input.stages the stages to draw, first to last
 * @param input.target range per band in seconds, or null where there is none
 * @returns the chart, or the reason why it cannot be drawn
 */
export function valueByBand(
  input: {
    id: string;
    quantity: BandQuantity;
    rows: readonly BandValue[];
    stages: readonly LabelledStage[];
    target: readonly TargetBand[] | null;
  },
  basis: ChartBasis,
): Chart | SkippedChart {
  const { words } = basis;
  const { id, quantity, rows, stages } = input;
  if (!rows.some((row) => row.value !== null)) return { id, reason: words.skipped.no_values };
  const time = quantity.endsWith('_s');
  const name = words.quantity[quantity];
  const bands = bandsOf(rows);
  const target = input.target?.filter((row) => bands.includes(row.centre_hz)) ?? null;
  const axis = words.axis.value(name, time ? words.unit.seconds : words.unit.decibels);
  return {
    id,
    title: words.title.values(name),
    alt: valuesAlt({ rows, stages, target, quantity }, basis),
    spec: {
      ...frame(basis),
      height: HEIGHT_PX.band,
      layer: valueLayers({ rows, stages, target, axis, quantity }, basis),
    },
  };
}
