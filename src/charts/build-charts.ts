import type { Advice } from '../advice/advice.ts';
import { roomBox_m } from '../project/room-size.ts';
import { type FigureKind, figureId } from '../report/figure.ts';
import { formatMoney, formatNumber, withUnit } from '../report/format.ts';
import { lengthsOf } from '../report/lengths.ts';
import type { ResponseTrace, Results } from '../report/results.ts';
import { type ModeSummary, summariseModes } from '../room/mode-advice.ts';
import type { BandQuantity } from '../room/reading.ts';
import { soundSpeed, USUAL_TEMPERATURE_C } from '../room/sound-speed.ts';
import type { Change } from '../statistics/finding.ts';
import { JUST_NOTICEABLE } from '../statistics/just-noticeable.ts';
import type { TargetBand } from './band-rows.ts';
import { type ChartBasis, chartBasis } from './basis.ts';
import { changeByBand } from './change-by-band.ts';
import { type Chart, isDrawn, type SkippedChart } from './chart.ts';
import { coverChange } from './cover-change.ts';
import { gainByBand } from './gain-by-band.ts';
import { modeLines } from './mode-lines.ts';
import { type ProgressRow, progress } from './progress.ts';
import { reflectionPlan } from './reflection-plan.ts';
import { changeRows, stageRows } from './rows.ts';
import { type LabelledStage, labelStages } from './stage-label.ts';
import { mainEnds, planTakeCharts, type TakeCharts } from './take-charts.ts';
import { valueByBand } from './value-by-band.ts';
import { type ChartWords, ENGLISH } from './words.ts';

export interface ChartInput {
  results: Results;
  traces: readonly ResponseTrace[];
  /** Target range of the decay time per octave in seconds; null where no published figure serves. */
  target: readonly TargetBand[] | null;
  /** Brand colour `#rrggbb`, or null for the project's own. */
  accent: string | null;
  /** English where left out. */
  words?: ChartWords;
  /** The charts of the recordings where they were planned before; left out, they are planned now. */
  ofTakes?: TakeCharts | undefined;
}

/** Every chart that these results can fill, in the order of a report. Nothing empty is drawn: see {@link planCharts} for why. */
export function buildCharts(input: ChartInput): Chart[] {
  return planCharts(input).charts;
}

/** As {@link buildCharts}, with the reason for each chart that was left out. */
export function planCharts(input: ChartInput): { charts: Chart[]; skipped: SkippedChart[] } {
  const words = input.words ?? ENGLISH;
  const basis = chartBasis(input.accent, words, lengthsOf(input.results.project, words.locale));
  const { results, traces, accent } = input;
  const stages = labelStages(results.project.stages, basis.accent).filter((stage) =>
    results.stages.some((it) => it.id === stage.id),
  );
  const quantity = drawnQuantity(results.changes);
  const valuesOf = (what: { id: FigureKind; quantity: BandQuantity; target: readonly TargetBand[] | null }) =>
    valueByBand({ ...what, rows: stageRows(results.stages, what.quantity), stages }, basis);
  const { project, takes, changes } = results;
  const { ofTakes = planTakeCharts({ project, takes, traces, pairs: changes, accent, words }) } = input;
  const planned = [
    coverOf({ results, stages, quantity }, basis),
    progressOf({ results, stages, quantity }, basis),
    valuesOf({ id: 'decay-by-band', quantity, target: input.target }),
    ...results.changes.map((change) => decayChangeOf({ change, stages }, basis)),
    ...ofTakes.curves,
    valuesOf({ id: 'clarity-by-band', quantity: 'c50_db', target: null }),
    ...results.changes.map((change) =>
      changeOf({ kind: 'late-level', change, stages, quantity: 'late_level_db' }, basis),
    ),
    ...ofTakes.takes,
    ...(results.advice ? adviceCharts({ results, advice: results.advice, stages }, basis) : []),
    modeLines(modesOf({ results, stages, quantity }), basis),
  ];
  return { charts: planned.filter(isDrawn), skipped: planned.filter((chart) => !isDrawn(chart)) as SkippedChart[] };
}

/** The decay time to draw: the one all headlines rest on, or T20 where they differ or there is none. */
export function drawnQuantity(changes: readonly Change[]): BandQuantity {
  const named = new Set(changes.map((change) => change.headline.quantity));
  const [only] = named;
  return named.size === 1 && only ? only : 't20_s';
}

function adviceCharts(
  { results, advice, stages }: { results: Results; advice: Advice; stages: LabelledStage[] },
  basis: ChartBasis,
): (Chart | SkippedChart)[] {
  return [gainByBand(advice.effects, stages, basis), reflectionPlan(results.project, advice.placement, basis)];
}

type Found = { results: Results; stages: LabelledStage[] };

function coverOf(found: Found & { quantity: BandQuantity }, basis: ChartBasis): Chart | SkippedChart {
  const { results } = found;
  const ends = mainEnds(results.changes, found.stages);
  if (!ends) return { id: 'cover-change', reason: basis.words.skipped.one_stage };
  const quantity = ends.pair.headline.quantity ?? found.quantity;
  const rows = stageRows(results.stages, quantity);
  return coverChange({ rows, from: ends.from, to: ends.to, quantity }, basis);
}

function decayChangeOf({ change, stages }: { change: Change; stages: LabelledStage[] }, basis: ChartBasis) {
  const quantity = change.headline.quantity ?? 't20_s';
  return changeOf({ kind: 'change-by-band', change, stages, quantity }, basis);
}

function changeOf(
  of: { kind: 'change-by-band' | 'late-level'; change: Change; stages: LabelledStage[]; quantity: BandQuantity },
  basis: ChartBasis,
): Chart | SkippedChart {
  const { words } = basis;
  const { change, quantity } = of;
  const name = words.quantity[quantity];
  const label = (id: string) => of.stages.find((stage) => stage.id === id)?.label ?? id;
  const time = quantity.endsWith('_s');
  const unit = time ? words.unit.percent : words.unit.decibels;
  const limit = JUST_NOTICEABLE[quantity] * (time ? 100 : 1);
  return changeByBand(
    {
      id: figureId(of.kind, change),
      title: words.title.change({ quantity: name, from: label(change.from), to: label(change.to) }),
      rows: changeRows(change, quantity),
      axis: words.axis.change(name, unit),
      unit,
      noticeable: { limit, label: words.legend.unnoticeable(withUnit(formatNumber(limit, 0, words.locale), unit)) },
    },
    basis,
  );
}

function progressOf({ results, stages, quantity }: Found & { quantity: BandQuantity }, basis: ChartBasis) {
  const rows = stages.map((stage): ProgressRow => {
    const values = results.stages.find((it) => it.id === stage.id)?.values ?? [];
    const mid = values.find((it) => it.quantity === quantity && it.width === 'octave' && it.centre_hz === 'mid');
    const cost = stageCost(results.project, stage.id, basis.words);
    return { stage, value_s: mid?.value ?? null, expanded_s: mid?.expanded_uncertainty ?? null, cost };
  });
  return progress({ rows, quantity }, basis);
}

/** What the treatments of a stage cost together, in words; null where no cost is given. */
function stageCost(project: Results['project'], id: string, words: ChartWords): string | null {
  const treatments = project.stages.find((stage) => stage.id === id)?.treatments ?? [];
  const costs = treatments.flatMap((treatment) => (treatment.cost === undefined ? [] : [treatment.cost]));
  if (costs.length === 0) return null;
  const sum = costs.reduce((total, cost) => total + cost, 0);
  return formatMoney(sum, project.currency, words.locale);
}

/** The modes of the room at the mid-band decay time of its last stage; null where the room is no box or the time not known. */
function modesOf({ results, stages, quantity }: Found & { quantity: BandQuantity }): ModeSummary | null {
  const box = roomBox_m(results.project.room);
  const values = results.stages.find((stage) => stage.id === stages.at(-1)?.id)?.values ?? [];
  const mid = values.find((it) => it.quantity === quantity && it.width === 'octave' && it.centre_hz === 'mid');
  if (!box || !mid?.value) return null;
  return summariseModes(box, mid.value, soundSpeed(results.project.room.temperature ?? USUAL_TEMPERATURE_C));
}
