import { octaveEdges, type octaveX } from './band-axis.ts';
import type { TargetBand } from './band-rows.ts';
import type { Layer } from './basis.ts';
import type { LabelledStage } from './stage-label.ts';
import { STRIP_PX, WASH, ZERO_GAP_PX } from './theme.ts';
import type { ChartWords } from './words.ts';

export type OctaveX = ReturnType<typeof octaveX>;

/** The channels that tell stages apart. One legend serves all but the dash, which the marks on the line explain. */
export function stageChannels(stages: readonly LabelledStage[]) {
  const domain = stages.map((stage) => stage.label);
  const columns = Math.min(stages.length, 3);
  const legend = { columns, labelLimit: columns === 1 ? 480 : 480 / columns };
  const channel = <T>(range: T[]) => ({ field: 'stage', type: 'nominal' as const, scale: { domain, range }, legend });
  return {
    stroke: channel(stages.map(({ look }) => look.colour)),
    fill: channel(stages.map(({ look }) => look.fill)),
    shape: channel(stages.map(({ look }) => look.shape)),
    // Its own field, for vega-lite merges legends of one field and a dashed outline would spoil the symbols there.
    strokeDash: { ...channel(stages.map(({ look }) => look.dash)), field: 'line', legend: null },
  };
}

/** The channel of a shaded zone, which brings its own entry in the legend. */
export function zoneChannel() {
  return { field: 'role', type: 'nominal' as const, scale: { range: [WASH] }, legend: { symbolType: 'square' } };
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
      encoding: { x: { value: -6 }, y, text: { value: options.words.not_measurable } },
    },
  ];
}
