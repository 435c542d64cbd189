import { MessageChannel } from 'node:worker_threads';
import { EXIT } from './exit.ts';
import { beforeSignalEnds, endCleanlyOnSignals } from './interrupt.ts';
import { openPool, type Pool } from './pool.ts';
import { openPrinter, type Printer } from './printer.ts';
import { SILENT, terminalProgress } from './progress.ts';
import { type ReportJob, type ReportOutcome, runReportJob, servePrinter } from './report-job.ts';
import { explanation, summaryTable } from './report-summary.ts';
import { abandonSwap } from './swap.ts';
import { paintWith, wantsColour } from './terminal.ts';

export interface ReportCommandOptions {
  json: boolean;
  pdf: boolean;
  /** Tells of every step why it ran or did not. */
  explain?: boolean;
  /** Most threads to use; left out, as many as there are processors. */
  jobs?: number | undefined;
  /** Folders outside the projects that may be read too; absolute, links resolved. */
  allow?: readonly string[];
}

/**
 * Runs `report` over some project folders, side by side, with one browser for all; one that fails does not stop the others.
 * Results are shown in the order of the folders. Returns the exit status.
 */
export async function report(folders: readonly string[], options: ReportCommandOptions): Promise<number> {
  const pool = openPool({ jobs: options.jobs, reports: folders.length });
  const printer = openPrinter({ pages: folders.length });
  const colour = wantsColour();
  const many = folders.length > 1;
  beforeSignalEnds(() => {
    for (const folder of folders) abandonSwap(folder, 'report');
  });
  endCleanlyOnSignals();
  try {
    const jobs = folders.map((folder): ReportJob => {
      const { allow = [], pdf, json, explain = false } = options;
      return { folder, allow, pdf, json, colour, many, explain };
    });
    const outcomes = many
      ? sideBySide(jobs, pool, printer)
      : jobs.map((job) => {
          return runReportJob(job, { pool, printer, progress: options.json ? SILENT : terminalProgress() });
        });
    const done: ReportOutcome[] = [];
    for (const outcome of outcomes) {
      const one = await outcome;
      done.push(one);
      if (options.explain) process.stderr.write(explanation(one));
      if (!options.json) process.stdout.write(`${one.text}\n${many ? '\n' : ''}`);
    }
    if (options.json) process.stdout.write(jsonOf(done));
    else if (many) process.stdout.write(`${summaryTable(done, paintWith(colour))}\n`);
    return done.some(({ status }) => status !== EXIT.done) ? EXIT.failed : EXIT.done;
  } finally {
    await Promise.all([pool.close(), printer.close()]);
  }
}

/** Every project is one job: independent of the others, it needs no more than one thread. */
function sideBySide(jobs: readonly ReportJob[], pool: Pool, printer: Printer): Promise<ReportOutcome>[] {
  pool.expectProjects();
  return jobs.map(async (job) => {
    const { port1, port2 } = new MessageChannel();
    servePrinter(port1, printer);
    try {
      return await pool.run('reportProject', { ...job, port: port2 }, [port2]);
    } finally {
      port1.close();
    }
  });
}

function jsonOf(done: readonly ReportOutcome[]): string {
  const projects = done.map(({ folder, status, messages, results }) => ({ folder, status, messages, results }));
  return `${JSON.stringify({ projects }, null, 2)}\n`;
}
