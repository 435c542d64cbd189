import type { BandQuantity } from '../room/reading.ts';
import { octaveX } from './band-axis.ts';
import { stageChannels, zeroLine } from './band-layers.ts';
import { type BandValue, bandsOf } from './band-rows.ts';
import { type ChartBasis, frame } from './basis.ts';
import type { Chart, SkippedChart } from './chart.ts';
import { bandName } from './label.ts';
import type { LabelledStage } from './stage-label.ts';
import { HEIGHT_PX } from './theme.ts';
import { TIP_CHANNEL, TIPPED } from './tip.ts';
import { valueText } from './value-text.ts';
import { valuesAlt } from './values-alt.ts';

/**
 * The one picture of the cover: decay time before and after in the bands where both could be measured, each with its 95 %
 * interval, a bar from one to the other.
 *
 * @param input.rows values in seconds of the two stages
 * @returns the chart, or the reason why it cannot be drawn
 */
export function coverChange(
  input: { rows: readonly BandValue[]; from: LabelledStage; to: LabelledStage; quantity: BandQuantity },
  basis: ChartBasis,
): Chart | SkippedChart {
  const id = 'cover-change';
  const { words } = basis;
  const stages = [input.from, input.to];
  const at = (stage: LabelledStage, centre_hz: number) =>
    input.rows.find((row) => row.stage === stage.id && row.centre_hz === centre_hz && row.value !== null);
  const bands = bandsOf(input.rows).filter((band) => stages.every((stage) => at(stage, band)));
  if (bands.length === 0) return { id, reason: words.skipped.no_change };
  const rows = bands.flatMap((band) => stages.map((stage) => ({ ...at(stage, band)!, label: stage.label })));
  const quantity = words.quantity[input.quantity];
  const x = octaveX(bands, { words, strip: false });
  const y = {
    type: 'quantitative' as const,
    title: words.axis.value(quantity, words.unit.seconds),
    scale: { domainMin: 0, nice: true },
  };
  const channels = stageChannels(stages);
  return {
    id,
    title: words.title.cover({ quantity, from: input.from.label, to: input.to.label }),
    alt: valuesAlt({ rows, stages, target: null, quantity: input.quantity }, basis),
    spec: {
      ...frame(basis),
      height: HEIGHT_PX.cover,
      layer: [
        zeroLine(y),
        {
          data: {
            values: bands.map((band) => ({
              x_hz: band,
              from: at(input.from, band)!.value,
              to: at(input.to, band)!.value,
            })),
          },
          mark: { type: 'rule', style: 'change' },
          encoding: { x, y: { ...y, field: 'from' }, y2: { field: 'to' } },
        },
        {
          data: {
            values: rows.map(({ label, centre_hz, value, low, high }) => ({
              stage: label,
              x_hz: centre_hz,
              value,
              low,
              high,
              tip: words.tip.value({
                name: label,
                at: bandName(centre_hz, words.locale),
                value: valueText({ value: value!, low, high }, input.quantity, words),
              }),
            })),
          },
          encoding: { x, stroke: channels.stroke },
          layer: [
            {
              mark: { type: 'rule', style: 'interval', clip: true },
              encoding: { y: { ...y, field: 'low' }, y2: { field: 'high' } },
            },
            {
              mark: { type: 'point', style: 'strong', ...TIPPED },
              encoding: { y: { ...y, field: 'value' }, fill: channels.fill, shape: channels.shape, ...TIP_CHANNEL },
            },
          ],
        },
      ],
    },
  };
}
