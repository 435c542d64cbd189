import { buildCharts } from '../src/charts/build-charts.ts';
import type { Chart } from '../src/charts/chart.ts';
import { chartsAhead } from '../src/charts/take-charts.ts';
import { type ChartWords, ENGLISH } from '../src/charts/words.ts';
import { GERMAN } from '../src/charts/words-german.ts';
import type { Project } from '../src/project/project.ts';
import type { ResponseTrace, Results, TakeResult } from '../src/report/results.ts';
import type { Target } from '../src/room/targets.ts';

/** Every chart that these results can fill. */
export function chartsOf(results: Results, traces: readonly ResponseTrace[], target: Target): Chart[] {
  return buildCharts({ results, traces, target: target.ok ? target.centre : null, ...lookOf(results.project) });
}

/** Those of them that can be drawn before the stages are compared. Project and takes as they will stand in the results. */
export function chartsOfTakes(found: {
  project: Project;
  takes: readonly TakeResult[];
  traces: readonly ResponseTrace[];
  pairs: readonly (readonly [from: string, to: string])[];
}): Chart[] {
  const pairs = found.pairs.map(([from, to]) => ({ from, to }));
  return chartsAhead({ ...found, pairs, ...lookOf(found.project) });
}

function lookOf({ branding, language }: Project): { accent: string | null; words: ChartWords } {
  return { accent: branding.colour ?? null, words: language === 'de' ? GERMAN : ENGLISH };
}
