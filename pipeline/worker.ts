import type { MessagePort } from 'node:worker_threads';
import pLimit from 'p-limit';
import type { ChannelRank } from '../src/audio/choose-channel.ts';
import type { Chart } from '../src/charts/chart.ts';
import type { BandWidth } from '../src/room/reading.ts';
import type { HeardTake } from './hear-take.ts';
import type { FoundTake } from './read.ts';
import type { ReportJob, ReportOutcome } from './report-job.ts';
import type { TakePartsBytes } from './take-parts.ts';

// What worker threads do, each job a function of plain data to plain data. What a job needs is loaded when it is first asked for:
// a thread that reads takes loads no charts.

/** The readings of a take that was listened to, in its two parts. */
export async function measureHeard(job: { heard: HeardTake; widths: readonly BandWidth[] }): Promise<TakePartsBytes> {
  const [{ readHeard }, { partsBytes }] = await Promise.all([import('./read-heard.ts'), import('./take-parts.ts')]);
  return partsBytes(readHeard(job.heard, job.widths), job.widths);
}

/** The third octaves of a take whose octaves are kept. */
export async function measureThirds(job: { heard: HeardTake }): Promise<Uint8Array> {
  const [{ readHeardThirds }, { thirdsBytes }] = await Promise.all([
    import('./read-heard.ts'),
    import('./take-parts.ts'),
  ]);
  return thirdsBytes(readHeardThirds(job.heard));
}

/** The channels of a take from the fittest to the least fit, or null where it cannot be read. */
export async function rankChannels(job: { folder: string; take: FoundTake }): Promise<ChannelRank[] | null> {
  const { channelsOf } = await import('./normalise.ts');
  return channelsOf(job.folder, job.take);
}

/** Vega numbers the parts of a drawing by one counter for the whole thread: two drawings at once would mix their numbers. */
const oneAtATime = pLimit(1);

/** The drawings of some charts, in their order. */
export async function drawCharts(job: { charts: readonly Chart[] }): Promise<string[]> {
  const { drawCharts } = await import('./draw.ts');
  const drawn = await oneAtATime(() => drawCharts(job.charts));
  return drawn.map(({ svg }) => svg);
}

/** The rate most recordings have. */
const USUAL_RATE_HZ = 48_000;

/** Loads what measuring needs, before there is something to measure. */
export async function prepareMeasuring(): Promise<void> {
  const [{ prepareBands }] = await Promise.all([
    import('../src/room/read-response.ts'),
    import('./read-heard.ts'),
    import('./take-parts.ts'),
  ]);
  prepareBands(USUAL_RATE_HZ);
}

/** Loads what a drawing needs, before there is one. */
export async function prepareDrawing(): Promise<void> {
  (await import('./draw.ts')).prepareDrawing();
}

/** A photo as a report shows it, as JPEG in base64. */
export async function shrinkPhoto(job: { folder: string; file: string }): Promise<string> {
  const { shrinkPhoto } = await import('./photos.ts');
  return shrinkPhoto(job.folder, job.file);
}

/** One project of several, whole, in this thread; its PDF is printed by the thread at the other end of the port. */
export async function reportProject(job: ReportJob & { port: MessagePort }): Promise<ReportOutcome> {
  const [{ printerAt, runReportJob }, { openPool }] = await Promise.all([
    import('./report-job.ts'),
    import('./pool.ts'),
  ]);
  const printer = printerAt(job.port);
  try {
    return await runReportJob(job, { printer, pool: openPool({ jobs: 1 }) });
  } finally {
    await printer.close();
  }
}
