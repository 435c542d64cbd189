import { buildCharts } from '../src/charts/build-charts.ts';
import type { Chart } from '../src/charts/chart.ts';
import { type ChartWords, ENGLISH } from '../src/charts/words.ts';
import { GERMAN } from '../src/charts/words-german.ts';
import type { Project } from '../src/project/project.ts';
import type { ResponseTrace, Results } from '../src/report/results.ts';
import type { Target } from '../src/room/targets.ts';

/** Every chart that these results can fill. */
export function chartsOf(results: Results, traces: readonly ResponseTrace[], target: Target): Chart[] {
  return buildCharts({ results, traces, target: target.ok ? target.centre : null, ...lookOf(results.project) });
}

function lookOf({ branding, language }: Project): { accent: string | null; words: ChartWords } {
  return { accent: branding.colour ?? null, words: language === 'de' ? GERMAN : ENGLISH };
}
