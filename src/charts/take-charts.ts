import type { Project } from '../project/project.ts';
import { figureId } from '../report/figure.ts';
import { lengthsOf } from '../report/lengths.ts';
import type { ResponseTrace, TakeResult } from '../report/results.ts';
import { type ChartBasis, chartBasis } from './basis.ts';
import type { Chart, SkippedChart } from './chart.ts';
import { decayCurves } from './decay-curves.ts';
import { earlyReflections } from './early-reflections.ts';
import { energyMap } from './energy-map.ts';
import { pickTraces } from './pick-traces.ts';
import { quality, TAKES_A_CHART } from './quality.ts';
import { roomPlan } from './room-plan.ts';
import { takeRange } from './rows.ts';
import { type LabelledStage, labelStages } from './stage-label.ts';
import { type ChartWords, ENGLISH } from './words.ts';

/** Two stages that are compared, by their ids. */
export interface StagePair {
  from: string;
  to: string;
}

/** What the recordings alone show, whatever the comparison of the stages says. */
export interface TakesFound {
  project: Project;
  takes: readonly TakeResult[];
  traces: readonly ResponseTrace[];
  /** The stages that are compared. */
  pairs: readonly StagePair[];
  /** Brand colour `#rrggbb`, or null for the project's own. */
  accent: string | null;
  /** English where left out. */
  words?: ChartWords;
}

type Planned = Chart | SkippedChart;

/** Charts by their place in a report. */
export interface TakeCharts {
  curves: Planned[];
  takes: Planned[];
}

/** The charts that need nothing but the recordings and the room: they can be planned before anything is compared. */
export function planTakeCharts(found: TakesFound): TakeCharts {
  const { project, accent, words = ENGLISH } = found;
  const basis = chartBasis(accent, words, lengthsOf(project, words.locale));
  return {
    curves: curveCharts(found, basis),
    takes: [...qualityCharts(found.takes, basis), roomPlan(project, basis)],
  };
}

/** The comparison that the report turns on: first stage with last, or the last one listed. */
export function mainPair<Pair extends StagePair>(
  pairs: readonly Pair[],
  stages: readonly LabelledStage[],
): Pair | null {
  const whole = pairs.find((pair) => pair.from === stages[0]?.id && pair.to === stages.at(-1)?.id);
  return whole ?? pairs.at(-1) ?? null;
}

/** The same with its stages; null where there is nothing to compare. */
export function mainEnds<Pair extends StagePair>(
  pairs: readonly Pair[],
  stages: readonly LabelledStage[],
): { pair: Pair; from: LabelledStage; to: LabelledStage } | null {
  const pair = mainPair(pairs, stages);
  const from = stages.find((stage) => stage.id === pair?.from);
  const to = stages.find((stage) => stage.id === pair?.to);
  return pair && from && to ? { pair, from, to } : null;
}

function curveCharts({ project, takes, traces, pairs }: TakesFound, basis: ChartBasis): Planned[] {
  const ends = mainEnds(pairs, labelStages(project.stages, basis.accent));
  if (!ends) return [];
  const { from, to } = ends;
  const pair = pickTraces({ takes, traces, from: from.id, to: to.id });
  const of = { pair, from, to };
  return [
    decayCurves({ id: figureId('decay-curves', ends.pair), ...of }, basis),
    energyMap({ id: `energy-map--${from.id}--${to.id}`, ...of }, basis),
    earlyReflections({ id: figureId('early-reflections', ends.pair), ...of }, basis),
  ];
}

function qualityCharts(takes: readonly TakeResult[], basis: ChartBasis): Planned[] {
  const ranges = takes
    .filter((take) => take.used)
    .map(takeRange)
    .filter((take) => take.ranges.length > 0);
  const pages = Math.max(1, Math.ceil(ranges.length / TAKES_A_CHART));
  const rows = Math.ceil(ranges.length / pages);
  return Array.from({ length: pages }, (_, page) =>
    quality(
      {
        id: page === 0 ? 'quality' : `quality-${page + 1}`,
        takes: ranges.slice(page * rows, (page + 1) * rows),
      },
      basis,
    ),
  );
}
