import type { ChannelRank } from '../src/audio/choose-channel.ts';
import type { Chart } from '../src/charts/chart.ts';
import type { TakeSettings } from './analyse.ts';
import type { FoundTake } from './read.ts';

// What worker threads do, each job a function of plain data to plain data. What a job needs is loaded when it is first asked for:
// a thread that reads takes loads no charts.

/** One take from file to readings, as JSON text: text crosses to the other thread faster than the numbers in it. */
export async function readTake(job: { folder: string; take: FoundTake; settings: TakeSettings }): Promise<string> {
  const { readTake } = await import('./analyse.ts');
  return JSON.stringify(await readTake(job.folder, job.take, job.settings));
}

/** The channels of a take from the fittest to the least fit, or null where it cannot be read. */
export async function rankChannels(job: { folder: string; take: FoundTake }): Promise<ChannelRank[] | null> {
  const { channelsOf } = await import('./normalise.ts');
  return channelsOf(job.folder, job.take);
}

/** The drawing of one chart. */
export async function drawChart(job: { chart: Chart }): Promise<string> {
  const { drawCharts } = await import('./draw.ts');
  return (await drawCharts([job.chart]))[0]!.svg;
}

/** Loads what draws charts, so that it is there when the first chart comes. */
export async function loadDrawing(_job: Record<string, never>): Promise<void> {
  await import('./draw.ts');
}
