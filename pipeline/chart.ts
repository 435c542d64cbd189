import { buildCharts } from '../src/charts/build-charts.ts';
import type { ResponseTrace, Results } from '../src/report/results.ts';
import type { Target } from '../src/room/targets.ts';
import { type DrawnChart, drawCharts } from './draw.ts';

/** Every chart that these results can fill, as specification and as drawing. */
export async function chartProject(
  results: Results,
  traces: readonly ResponseTrace[],
  target: Target,
): Promise<DrawnChart[]> {
  const accent = results.project.branding.colour ?? null;
  return drawCharts(buildCharts({ results, traces, target: target.ok ? target.centre : null, accent }));
}
