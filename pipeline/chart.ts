import { createHash } from 'node:crypto';
import { buildCharts } from '../src/charts/build-charts.ts';
import type { Chart } from '../src/charts/chart.ts';
import { ENGLISH } from '../src/charts/words.ts';
import { GERMAN } from '../src/charts/words-german.ts';
import type { ResponseTrace, Results } from '../src/report/results.ts';
import type { Target } from '../src/room/targets.ts';
import type { DrawnChart } from './draw.ts';
import { keepBytes, keepFolder, type StepInputs } from './keep.ts';
import type { Pool } from './pool.ts';

/** Raised whenever the same specification would be drawn otherwise. */
const DRAWING_VERSION = 1;

/** Draws charts, in the order given. */
export type Draw = (charts: readonly Chart[]) => Promise<DrawnChart[]>;

/** Every chart that these results can fill, as specification and as drawing. */
export async function chartProject(
  results: Results,
  traces: readonly ResponseTrace[],
  { target, draw = drawHere }: { target: Target; draw?: Draw },
): Promise<DrawnChart[]> {
  const accent = results.project.branding.colour ?? null;
  const words = results.project.language === 'de' ? GERMAN : ENGLISH;
  return draw(buildCharts({ results, traces, target: target.ok ? target.centre : null, accent, words }));
}

const drawHere: Draw = async (charts) => (await import('./draw.ts')).drawCharts(charts);

/** Draws only those charts of a project whose specification is not the kept one's. */
export function drawKept(folder: string, pool: Pool): Draw {
  return async (charts) => {
    const steps = charts.map((chart): StepInputs => {
      const inputs = { drawing: createHash('sha256').update(JSON.stringify(chart)).digest('hex') };
      return { step: 'draw', version: DRAWING_VERSION, code: 'report', subject: chart.id, inputs };
    });
    return Promise.all(
      charts.map(async (chart, i) => {
        const make = async () => Buffer.from(await pool.run('drawChart', { chart }));
        const svg = await keepBytes(keepFolder(folder), steps[i]!, make);
        return { chart, svg: Buffer.from(svg).toString('utf8') };
      }),
    );
  };
}
