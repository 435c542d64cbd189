import type { BandQuantity } from '../room/reading.ts';
import { dodged_hz, octaveX } from './band-axis.ts';
import { refusedLayers, stageChannels, targetLayer, zeroLine } from './band-layers.ts';
import { type BandValue, bandsOf, type TargetBand } from './band-rows.ts';
import type { ChartBasis, Layer } from './basis.ts';
import { bandName } from './label.ts';
import type { LabelledStage } from './stage-label.ts';
import { BETWEEN_LOOK } from './theme.ts';
import { TIP_CHANNEL, TIPPED } from './tip.ts';
import { valueText } from './value-text.ts';
import type { ChartWords } from './words.ts';

/** In the Latin part of the fonts: a dagger would bring a second part into every report. */
const FLAG = '*';

/** Stages up to this many are all drawn with marks and intervals; of more, only the first and the last. */
export const STAGES_IN_FULL = 5;

/** The stages that a chart by band draws in full, and those it only hints at. */
export function splitStages(stages: readonly LabelledStage[]): { full: LabelledStage[]; between: LabelledStage[] } {
  if (stages.length <= STAGES_IN_FULL) return { full: [...stages], between: [] };
  return { full: [stages[0]!, stages.at(-1)!], between: stages.slice(1, -1) };
}

/**
 * The layers of a chart of values by octave band and stage: target, refusals, the stages between as pale lines, then for each
 * stage drawn in full its line, intervals and marks.
 *
 * @param input.quantity a time starts at zero on its axis
 */
export function valueLayers(
  input: {
    rows: readonly BandValue[];
    stages: readonly LabelledStage[];
    target: readonly TargetBand[] | null;
    axis: string;
    quantity: BandQuantity;
  },
  basis: ChartBasis,
): Layer[] {
  const { words } = basis;
  const from_zero = input.quantity.endsWith('_s');
  const bands_hz = bandsOf(input.rows);
  const { full, between } = splitStages(input.stages);
  const rows = placedRows(input.rows, { stages: full, quantity: input.quantity, words });
  const refused = rows.filter((row) => row.value === null).map(({ stage, x_hz }) => ({ stage, x_hz }));
  const x = octaveX(bands_hz, { words, strip: refused.length > 0 });
  const scale = from_zero ? { domainMin: 0, nice: true } : { zero: false, nice: true };
  const y = { type: 'quantitative' as const, title: input.axis, scale };
  const { stroke, fill, shape, strokeDash } = stageChannels(withBetween(full, between, words.legend.between));
  const value = { ...y, field: 'value' };
  const drawn = rows.map(({ flagged: _, ...row }) => row);
  return [
    ...targetLayer(input.target, { bands_hz, x, y, label: words.legend.target }),
    ...(from_zero ? [zeroLine(y)] : []),
    ...refusedLayers(refused, { x, stroke, words }),
    ...betweenLayers(input.rows, between, { x, y, stroke, label: words.legend.between }),
    {
      // The refused rows stay in, as null: the line breaks there instead of bridging what nobody measured.
      data: { values: drawn },
      encoding: { x, stroke },
      layer: [
        { mark: { type: 'line' }, encoding: { y: value, strokeDash } },
        {
          mark: { type: 'rule', style: 'interval', clip: from_zero },
          encoding: { y: { ...y, field: 'low' }, y2: { field: 'high' } },
        },
        { mark: { type: 'point', ...TIPPED }, encoding: { y: value, fill, shape, ...TIP_CHANNEL } },
      ],
    },
    ...flagLayers(
      rows.filter((row) => row.flagged && row.value !== null),
      { x, y, note: words.legend.flagged },
    ),
  ];
}

/** A star beside each value that is to be read with care, and what it means at the upper right. */
function flagLayers(
  rows: readonly { x_hz: number; value: number | null }[],
  options: { x: ReturnType<typeof octaveX>; y: object; note: string },
): Layer[] {
  if (rows.length === 0) return [];
  return [
    {
      data: { values: rows.map(({ x_hz, value }) => ({ x_hz, value })) },
      mark: { type: 'text', style: 'flag' },
      encoding: {
        x: options.x,
        y: { ...options.y, field: 'value', type: 'quantitative' },
        text: { value: FLAG },
      },
    },
    {
      data: { values: [{}] },
      mark: { type: 'text', style: 'flag-note' },
      encoding: { x: { value: 'width' }, y: { value: -9 }, text: { value: `${FLAG} ${options.note}` } },
    },
  ];
}

function placedRows(
  values: readonly BandValue[],
  { stages, quantity, words }: { stages: readonly LabelledStage[]; quantity: BandQuantity; words: ChartWords },
) {
  return stages.flatMap((stage, index) =>
    values
      .filter((row) => row.stage === stage.id)
      .map(({ centre_hz, value, low, high, flagged }) => ({
        stage: stage.label,
        line: stage.label,
        x_hz: dodged_hz(centre_hz, { index, count: stages.length }),
        value,
        low,
        high,
        flagged,
        ...(value === null
          ? {}
          : {
              tip: words.tip.value({
                name: stage.label,
                at: bandName(centre_hz, words.locale),
                value: valueText({ value, low, high }, quantity, words),
              }),
            }),
      })),
  );
}

/** The stages between as one pale entry of the legend, so that its looks stay few however many there are. */
function withBetween(
  full: readonly LabelledStage[],
  between: readonly LabelledStage[],
  label: string,
): LabelledStage[] {
  if (between.length === 0) return [...full];
  return [full[0]!, { id: '', label, look: BETWEEN_LOOK }, ...full.slice(1)];
}

function betweenLayers(
  values: readonly BandValue[],
  stages: readonly LabelledStage[],
  options: { x: ReturnType<typeof octaveX>; y: object; stroke: object; label: string },
): Layer[] {
  const rows = stages.flatMap((stage) =>
    values
      .filter((row) => row.stage === stage.id && row.value !== null)
      .map(({ centre_hz, value }) => ({ stage: options.label, id: stage.id, x_hz: centre_hz, value })),
  );
  if (rows.length === 0) return [];
  return [
    {
      data: { values: rows },
      mark: { type: 'line', style: 'between' },
      encoding: {
        x: options.x,
        y: { ...options.y, field: 'value', type: 'quantitative' },
        stroke: options.stroke,
        detail: { field: 'id', type: 'nominal' },
      },
    },
  ];
}
