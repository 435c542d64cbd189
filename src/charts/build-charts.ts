import { figureId } from '../report/figure.ts';
import type { ResponseTrace, Results } from '../report/results.ts';
import type { BandQuantity } from '../room/reading.ts';
import type { Change, StageFinding } from '../statistics/finding.ts';
import type { BandChange, BandValue, TargetBand } from './band-rows.ts';
import { type ChartBasis, chartBasis } from './basis.ts';
import { changeByBand } from './change-by-band.ts';
import { type Chart, isDrawn, type SkippedChart } from './chart.ts';
import { coverChange } from './cover-change.ts';
import { decayByBand } from './decay-by-band.ts';
import { type LabelledStage, labelStages } from './stage-label.ts';
import { type ChartWords, ENGLISH } from './words.ts';

/** Relative change of a decay time that is just noticed, in per cent. Source: ISO 3382-1, Table A.1 (EDT; T taken alike). */
const NOTICEABLE_TIME_PERCENT = 5;

export interface ChartInput {
  results: Results;
  traces: readonly ResponseTrace[];
  /** Target range of the decay time per octave in seconds; null where no published figure serves. */
  target: readonly TargetBand[] | null;
  /** Brand colour `#rrggbb`, or null for the project's own. */
  accent: string | null;
  /** English where left out. */
  words?: ChartWords;
}

/** Every chart that these results can fill, in the order of a report. Nothing empty is drawn: see {@link planCharts} for why. */
export function buildCharts(input: ChartInput): Chart[] {
  return planCharts(input).charts;
}

/** As {@link buildCharts}, with the reason for each chart that was left out. */
export function planCharts(input: ChartInput): { charts: Chart[]; skipped: SkippedChart[] } {
  const words = input.words ?? ENGLISH;
  const basis = chartBasis(input.accent, words);
  const { results } = input;
  const stages = labelStages(results.project.stages, basis.accent).filter((stage) =>
    results.stages.some((it) => it.id === stage.id),
  );
  const quantity = drawnQuantity(results.changes);
  const planned = [
    coverOf({ results, stages, quantity }, basis),
    decayByBand({ rows: stageRows(results.stages, quantity), stages, target: input.target, quantity }, basis),
    ...results.changes.map((change) => changeOf({ change, stages }, basis)),
  ];
  return { charts: planned.filter(isDrawn), skipped: planned.filter((chart) => !isDrawn(chart)) as SkippedChart[] };
}

/** The decay time to draw: the one all headlines rest on, or T20 where they differ or there is none. */
export function drawnQuantity(changes: readonly Change[]): BandQuantity {
  const named = new Set(changes.map((change) => change.headline.quantity));
  const [only] = named;
  return named.size === 1 && only ? only : 't20_s';
}

/** The comparison that the report turns on: first stage with last, or the last one listed. */
export function mainChange(changes: readonly Change[], stages: readonly LabelledStage[]): Change | null {
  const whole = changes.find((change) => change.from === stages[0]?.id && change.to === stages.at(-1)?.id);
  return whole ?? changes.at(-1) ?? null;
}

/** The octave values of one quantity, ready to be drawn: the interval is the value with its expanded uncertainty. */
export function stageRows(stages: readonly StageFinding[], quantity: BandQuantity): BandValue[] {
  return stages.flatMap((stage) =>
    stage.values.flatMap((row) => {
      if (row.quantity !== quantity || row.width !== 'octave' || row.centre_hz === 'mid') return [];
      const reach = row.expanded_uncertainty ?? 0;
      const [low, high] = row.value === null ? [null, null] : [row.value - reach, row.value + reach];
      return [{ stage: stage.id, centre_hz: row.centre_hz, value: row.value, low, high }];
    }),
  );
}

function coverOf(
  { results, stages, quantity }: { results: Results; stages: LabelledStage[]; quantity: BandQuantity },
  basis: ChartBasis,
): Chart | SkippedChart {
  const change = mainChange(results.changes, stages);
  const [from, to] = [change?.from, change?.to].map((id) => stages.find((stage) => stage.id === id));
  if (!change || !from || !to) return { id: 'cover-change', reason: basis.words.skipped.one_stage };
  const own = change.headline.quantity ?? quantity;
  return coverChange({ rows: stageRows(results.stages, own), from, to, quantity: own }, basis);
}

function changeOf(
  { change, stages }: { change: Change; stages: LabelledStage[] },
  basis: ChartBasis,
): Chart | SkippedChart {
  const { words } = basis;
  const quantity = change.headline.quantity ?? 't20_s';
  const name = words.quantity[quantity];
  const label = (id: string) => stages.find((stage) => stage.id === id)?.label ?? id;
  return changeByBand(
    {
      id: figureId('change-by-band', change),
      title: words.title.change({ quantity: name, from: label(change.from), to: label(change.to) }),
      rows: percentRows(change, quantity),
      axis: words.change_axis(name, '%'),
      unit: '%',
      decimals: 0,
      noticeable: { limit: NOTICEABLE_TIME_PERCENT, label: words.noticeable_below(`${NOTICEABLE_TIME_PERCENT} %`) },
    },
    basis,
  );
}

function percentRows(change: Change, quantity: BandQuantity): BandChange[] {
  return change.values.flatMap((row) => {
    if (row.quantity !== quantity || row.width !== 'octave' || row.centre_hz === 'mid') return [];
    const { centre_hz, percent, percent_low, percent_high, verdict } = row;
    return [{ centre_hz, value: percent, low: percent_low, high: percent_high, verdict }];
  });
}
