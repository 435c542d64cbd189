import { buildCharts } from '../src/charts/build-charts.ts';
import type { Chart } from '../src/charts/chart.ts';
import { planTakeCharts, type TakeCharts, type TakesFound } from '../src/charts/take-charts.ts';
import { type ChartWords, ENGLISH } from '../src/charts/words.ts';
import { GERMAN } from '../src/charts/words-german.ts';
import type { Project } from '../src/project/project.ts';
import type { ResponseTrace, Results } from '../src/report/results.ts';
import type { Target } from '../src/room/targets.ts';
import { comparedPairs } from './compare.ts';

interface ChartsFrom {
  traces: readonly ResponseTrace[];
  target: Target;
  /** Those of the recordings, where they were planned before. */
  ofTakes?: TakeCharts;
}

/** Every chart that these results can fill. */
export function chartsOf(results: Results, { traces, target, ofTakes }: ChartsFrom): Chart[] {
  const centre = target.ok ? target.centre : null;
  return buildCharts({ results, traces, target: centre, ofTakes, ...lookOf(results.project) });
}

/** The charts of the recordings, which can be planned before the stages are compared. */
export function takeChartsOf(found: Pick<TakesFound, 'project' | 'takes' | 'traces'>): TakeCharts {
  const { project, takes } = found;
  const pairs = comparedPairs(project, takes).map(([from, to]) => ({ from, to }));
  return planTakeCharts({ ...found, pairs, ...lookOf(project) });
}

function lookOf({ branding, language }: Project): { accent: string | null; words: ChartWords } {
  return { accent: branding.colour ?? null, words: language === 'de' ? GERMAN : ENGLISH };
}
