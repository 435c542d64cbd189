import { octaveEdges, type octaveX } from './band-axis.ts';
import type { TargetBand } from './band-rows.ts';
import type { Layer } from './basis.ts';
import type { LabelledStage } from './stage-label.ts';
import { COLUMN_PX, STRIP_PX, TEXT_PX, WASH, ZERO_GAP_PX } from './theme.ts';
import type { ChartWords } from './words.ts';

export type OctaveX = ReturnType<typeof octaveX>;

/** The channels that tell stages apart. One legend serves all but the dash, which the marks on the line explain. */
export function stageChannels(stages: readonly LabelledStage[]) {
  const domain = stages.map((stage) => stage.label);
  const legend = legendShape(domain);
  const channel = <T>(range: T[]) => ({ field: 'stage', type: 'nominal' as const, scale: { domain, range }, legend });
  return {
    stroke: channel(stages.map(({ look }) => look.colour)),
    fill: channel(stages.map(({ look }) => look.fill)),
    shape: channel(stages.map(({ look }) => look.shape)),
    // Its own field, for vega-lite merges legends of one field and a dashed outline would spoil the symbols there.
    strokeDash: { ...channel(stages.map(({ look }) => look.dash)), field: 'line', legend: null },
  };
}

/** Room for the legend of stages beside that of a zone, and what symbol and gap take of it per entry. In px. */
const LEGEND_PX = COLUMN_PX - 105;
const ENTRY_PX = 28;
const LETTER_PX = TEXT_PX * 0.48;

/** As many columns as the labels allow, in one row where they fit; labels too long for theirs are cut by vega with an ellipsis. */
function legendShape(labels: readonly string[]): { columns: number; labelLimit: number } {
  const lengths = labels.map((label) => label.length * LETTER_PX + ENTRY_PX);
  const fits = (columns: number) => columns * Math.max(...lengths) <= LEGEND_PX;
  const oneRow = lengths.reduce((sum, length) => sum + length, 0) <= LEGEND_PX;
  const columns = oneRow ? labels.length : ([3, 2].find((count) => count <= labels.length && fits(count)) ?? 1);
  return { columns, labelLimit: oneRow ? LEGEND_PX : LEGEND_PX / columns - ENTRY_PX };
}

/** The channel of a shaded zone, which brings its own entry in the legend. */
export function zoneChannel() {
  return {
    field: 'role',
    type: 'nominal' as const,
    scale: { range: [WASH] },
    legend: { symbolType: 'square', labelLimit: 0 },
  };
}

/** The target range as a shaded step a band; nothing where there is none for the bands drawn. */
export function targetLayer(
  target: readonly TargetBand[] | null,
  options: { bands_hz: readonly number[]; x: OctaveX; y: object; label: string },
): Layer[] {
  const rows = (target ?? [])
    .filter((row) => options.bands_hz.includes(row.centre_hz))
    .map((row) => ({ ...octaveEdges(row.centre_hz), low: row.low_s, high: row.high_s, role: options.label }));
  if (rows.length === 0) return [];
  return [
    {
      data: { values: rows },
      mark: { type: 'rect', style: 'zone' },
      encoding: {
        x: { ...options.x, field: 'from_hz' },
        x2: { field: 'to_hz' },
        y: { ...options.y, field: 'low', type: 'quantitative' },
        y2: { field: 'high' },
        color: zoneChannel(),
      },
    },
  ];
}

/** The marks of refused values, in the strip under the plot, with the words for them beside it. Rows carry `x_hz` and `stage`. */
export function refusedLayers(
  rows: readonly { stage?: string; x_hz: number }[],
  options: { x: OctaveX; stroke: ReturnType<typeof stageChannels>['stroke'] | null; words: ChartWords },
): Layer[] {
  if (rows.length === 0) return [];
  const y = { value: { expr: `height + ${ZERO_GAP_PX + STRIP_PX / 2}` } };
  return [
    {
      data: { values: [...rows] },
      mark: { type: 'point', style: 'refused' },
      encoding: { x: options.x, y, ...(options.stroke ? { stroke: options.stroke } : {}) },
    },
    {
      data: { values: [{}] },
      mark: { type: 'text', style: 'beside' },
      encoding: { x: { value: -6 }, y, text: { value: options.words.legend.not_measurable } },
    },
  ];
}

/** The zero line, drawn heavier than the grid wherever zero is on the axis. */
export function zeroLine(y: object): Layer {
  return {
    data: { values: [{ zero: 0 }] },
    mark: { type: 'rule', style: 'zero' },
    encoding: { y: { ...y, field: 'zero', type: 'quantitative' } },
  };
}
