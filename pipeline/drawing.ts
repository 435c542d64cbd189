import { setImmediate as turn } from 'node:timers/promises';
import type { Chart } from '../src/charts/chart.ts';
import { digest } from './digest.ts';
import type { DrawnChart } from './draw.ts';
import { keepFolder, kept, put, type StepInputs } from './keep.ts';
import type { Pool } from './pool.ts';

/** Raised whenever the same specification would be drawn otherwise. */
const DRAWING_VERSION = 1;

/** Charts being drawn aside. Each specification is drawn once, and only where no drawing of it is kept. */
export interface Drawing {
  /** Begins to draw some charts. Resolves as soon as they are handed over, from when on this thread may be busy. */
  begin: (charts: readonly Chart[]) => Promise<void>;
  /** The drawings of some charts, in their order, begun or not. */
  drawn: (charts: readonly Chart[]) => Promise<DrawnChart[]>;
  /** Resolves when what was drawn is kept. */
  settled: () => Promise<void>;
}

/** Draws on the threads of a pool, and keeps what is drawn with the project. */
export function openDrawing(projectFolder: string, pool: Pool): Drawing {
  const folder = keepFolder(projectFolder);
  const drawings = new Map<string, Promise<string>>();
  const keeping: Promise<void>[] = [];
  /** Resolves with the charts and their keys. */
  const handOver = async (charts: readonly Chart[]) => {
    const keyed = charts.map((chart) => ({ chart, key: keyOf(chart) }));
    const steps = keyed.filter(({ key }) => !drawings.has(key));
    const found = await Promise.all(steps.map((step) => kept(folder, drawStep(step))));
    const missing = steps.filter(({ key }, i) => {
      const svg = found[i];
      if (svg) drawings.set(key, Promise.resolve(svg.toString('utf8')));
      return !svg;
    });
    for (const part of dealt(missing, pool.threads)) {
      const job = pool.run('drawCharts', { charts: part.map(({ chart }) => chart) });
      for (const [i, step] of part.entries()) {
        const svg = job.then((svgs) => svgs[i]!);
        drawings.set(step.key, svg);
        // What went wrong is told to whoever wants the drawing.
        keeping.push(svg.then((text) => put(folder, drawStep(step), text)).catch(() => undefined));
      }
    }
    await turn();
    return keyed;
  };
  return {
    begin: async (charts) => void (await handOver(charts)),
    drawn: async (charts) => {
      const keyed = await handOver(charts);
      return Promise.all(keyed.map(async ({ chart, key }) => ({ chart, svg: await drawings.get(key)! })));
    },
    settled: async () => void (await Promise.all(keeping)),
  };
}

function keyOf(chart: Chart): string {
  return digest(JSON.stringify(chart));
}

function drawStep({ chart, key }: { chart: Chart; key: string }): StepInputs {
  return { step: 'draw', version: DRAWING_VERSION, code: 'report', subject: chart.id, inputs: { drawing: key } };
}

/** A list dealt out, as cards are, to so many; nobody gets nothing. */
function dealt<T>(all: readonly T[], among: number): T[][] {
  const parts = Array.from({ length: Math.min(among, all.length) }, (): T[] => []);
  for (const [i, one] of all.entries()) parts[i % parts.length]!.push(one);
  return parts;
}
