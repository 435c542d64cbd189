import { withUnit } from '../report/format.ts';
import { writtenEstimate } from '../report/written.ts';
import type { BandQuantity } from '../room/reading.ts';
import { type ChartBasis, frame, type Layer } from './basis.ts';
import type { Chart, SkippedChart } from './chart.ts';
import { twoLines } from './label.ts';
import type { LabelledStage } from './stage-label.ts';
import { COLUMN_PX, HEIGHT_PX, LINE_PX, PROGRESS_PX } from './theme.ts';
import { TIP_CHANNEL, TIPPED } from './tip.ts';

/** Letters of a stage's name that fit one line beside its row. */
const ROW_LETTERS = 40;

/** Lifts a name of two lines by half of one, so that it stands level with its row. */
const SECOND_LINE = { condition: { test: "indexof(datum.label, '\\n') > 0", value: -LINE_PX / 2 }, value: 0 };

/** The mid-band decay time of a stage, and what the stage cost, already in words. */
export interface ProgressRow {
  stage: LabelledStage;
  value_s: number | null;
  /** Half width of the 95 % interval. */
  expanded_s: number | null;
  cost: string | null;
}

/**
 * The decay time at mid frequencies, stage by stage from top to bottom, with its 95 % interval, in figures beside it, and the
 * cost of each stage where costs are known.
 *
 * @returns the chart, or the reason why it cannot be drawn: one stage is no progress
 */
export function progress(
  input: { rows: readonly ProgressRow[]; quantity: BandQuantity },
  basis: ChartBasis,
): Chart | SkippedChart {
  const id = 'progress';
  const { words } = basis;
  if (input.rows.length < 2) return { id, reason: words.skipped.one_stage };
  if (!input.rows.some((row) => row.value_s !== null)) return { id, reason: words.skipped.no_values };
  const name = words.quantity[input.quantity];
  const rows = input.rows.map((row) => drawnRow(row, input.quantity, basis));
  const domain = rows.map((row) => row.stage);
  const y = {
    field: 'stage',
    type: 'ordinal' as const,
    scale: { domain },
    axis: { title: null, labelLimit: PROGRESS_PX.label, labelOffset: SECOND_LINE },
  };
  const x = {
    type: 'quantitative' as const,
    scale: { domainMin: 0, nice: true },
    axis: { title: words.axis.value(name, words.unit.seconds), grid: true },
  };
  const priced = rows.some((row) => row.cost !== '');
  return {
    id,
    title: words.title.progress(name),
    alt: progressAlt(rows, basis),
    spec: {
      ...frame(basis),
      width: COLUMN_PX,
      height: HEIGHT_PX.progress + HEIGHT_PX.row * rows.length,
      layer: [
        ...measuredLayers({ rows, all: input.rows, x, y }),
        column({ rows, y, field: 'figure', at_px: PROGRESS_PX.figure }),
        ...(priced ? [column({ rows, y, field: 'cost', at_px: PROGRESS_PX.cost })] : []),
        heading(words.note.value, PROGRESS_PX.figure),
        ...(priced ? [heading(words.note.cost, PROGRESS_PX.cost)] : []),
      ],
    },
  };
}

interface DrawnRow {
  stage: string;
  value: number | null;
  low: number | null;
  high: number | null;
  figure: string;
  cost: string;
  tip: string;
}

function drawnRow(
  { stage, value_s, expanded_s, cost }: ProgressRow,
  quantity: BandQuantity,
  { words }: ChartBasis,
): DrawnRow {
  const blank = { stage: twoLines(stage.label, ROW_LETTERS), cost: cost ?? '', tip: '' };
  if (value_s === null) return { ...blank, value: null, low: null, high: null, figure: words.legend.not_measurable };
  const { value, expanded } = writtenEstimate({ quantity, value: value_s, expanded: expanded_s }, words.locale);
  const figure = expanded === null ? value : words.note.plus_minus(value, expanded);
  const reach = expanded_s ?? 0;
  const whole = withUnit(figure, words.unit.seconds_short);
  return {
    ...blank,
    tip: words.tip.plain({ name: stage.label, value: whole }),
    value: value_s,
    low: value_s - reach,
    high: value_s + reach,
    figure: whole,
  };
}

function measuredLayers(of: { rows: readonly DrawnRow[]; all: readonly ProgressRow[]; x: object; y: object }): Layer[] {
  const looks = of.all.map(({ stage }) => stage.look);
  const domain = of.rows.map((row) => row.stage);
  const channel = <T>(range: T[]) => ({
    field: 'stage',
    type: 'nominal' as const,
    scale: { domain, range },
    legend: null,
  });
  const x = (field: string) => ({ ...of.x, field, type: 'quantitative' as const });
  const y = { ...of.y, field: 'stage', type: 'ordinal' as const };
  const stroke = channel(looks.map((look) => look.colour));
  return [
    { data: { values: [{ zero: 0 }] }, mark: { type: 'rule', style: 'zero' }, encoding: { x: x('zero') } },
    {
      data: { values: of.rows.filter((row) => row.value !== null) },
      encoding: { y, stroke },
      layer: [
        { mark: { type: 'rule', style: 'interval', clip: true }, encoding: { x: x('low'), x2: { field: 'high' } } },
        {
          mark: { type: 'point', style: 'strong', ...TIPPED },
          encoding: {
            ...TIP_CHANNEL,
            x: x('value'),
            shape: channel(looks.map((look) => look.shape)),
            fill: channel(looks.map((look) => look.fill)),
          },
        },
      ],
    },
  ];
}

function column(of: { rows: readonly DrawnRow[]; y: object; field: 'figure' | 'cost'; at_px: number }): Layer {
  return {
    data: { values: of.rows.map((row) => ({ stage: row.stage, text: row[of.field] })) },
    mark: { type: 'text', style: 'figure' },
    encoding: {
      x: { value: { expr: `width + ${of.at_px}` } },
      y: { ...of.y, field: 'stage', type: 'ordinal' },
      text: { field: 'text' },
    },
  };
}

function heading(text: string, at_px: number): Layer {
  return {
    data: { values: [{}] },
    mark: { type: 'text', style: 'heading' },
    encoding: { x: { value: { expr: `width + ${at_px}` } }, y: { value: -4 }, text: { value: text } },
  };
}

function progressAlt(rows: readonly DrawnRow[], { words }: ChartBasis): string {
  const told = rows.map((row) =>
    words.alt.values(
      row.stage.replace('\n', ' '),
      row.cost === '' ? row.figure : `${row.figure}, ${words.alt.cost(row.cost)}`,
    ),
  );
  return [...told, words.alt.interval].join(' ');
}
