import { join } from 'node:path';
import type { Diagnostic } from '../src/project/diagnostic.ts';
import type { Results } from '../src/report/results.ts';
import { earlierReport } from './earlier-report.ts';
import { EXIT } from './exit.ts';
import { openFingerprints } from './fingerprints.ts';
import { freshReport, reportStep } from './fresh-report.ts';
import { likelyWork } from './likely-work.ts';
import { unwritable } from './own-folders.ts';
import { openPool, type Pool } from './pool.ts';
import { openPrinter, type Printer } from './printer.ts';
import type { Progress } from './progress.ts';
import { putBackReport } from './put-back-report.ts';
import { readProject } from './read.ts';

/** What became of one project. */
export interface Reported {
  status: number;
  messages: Diagnostic[];
  results: Results | null;
  /** The report folder, where one was written. */
  folder: string | null;
  /** What could not be made, each with how to get it. */
  missing: string[];
  /** Whether it is the report that was there, nothing having changed. */
  unchanged?: boolean;
}

export interface ReportOptions {
  pdf: boolean;
  progress: Progress;
  /** Folders outside the project that may be read too; absolute, links resolved. */
  allow?: readonly string[];
  /** Where takes are read and charts drawn; left out, in this thread. */
  pool?: Pool;
  /** What prints the PDF; left out, a browser is started for it. */
  printer?: Printer;
}

/**
 * The whole flow for one project folder:
 *
 *     project.yaml + recordings -> read -> normalise, align, analyse -> compare -> advise -> chart -> render -> report/
 *
 * Data flows down and never back up. A project that cannot be reported leaves an earlier report as it was.
 */
export async function reportFolder(folder: string, options: ReportOptions): Promise<Reported> {
  const { progress, allow = [], pool = openPool({ jobs: 1 }) } = options;
  const printer = options.pdf ? (options.printer ?? openPrinter({ pages: 1 })) : null;
  try {
    return await runFlow(folder, { progress, allow, pool, printer });
  } finally {
    progress.end();
    if (printer !== null && options.printer === undefined) await printer.close();
  }
}

async function runFlow(
  folder: string,
  {
    progress,
    allow,
    pool,
    printer,
  }: { progress: Progress; allow: readonly string[]; pool: Pool; printer: Printer | null },
): Promise<Reported> {
  // 1. Read the project file and find the recordings.
  progress.step('Reading the project');
  // Threads that seem to be needed start while this one reads.
  const likely = await likelyWork(folder);
  if (likely.all) pool.expectReport();
  else if (likely.changed) pool.expectReport(Math.max(1, likely.newer));
  const fingerprints = openFingerprints(folder);
  const read = await readProject(folder, { allow, fingerprints });
  const { project } = read;
  const diagnostics =
    project === null ? read.diagnostics : [...read.diagnostics, ...(await putBackReport(read.folder))];
  const failed = (messages: Diagnostic[]): Reported => {
    return { status: EXIT.failed, messages, results: null, folder: null, missing: [] };
  };
  if (project === null || diagnostics.some(({ severity }) => severity === 'error')) return failed(diagnostics);

  // Where nothing has changed since the last report, it stands.
  const step = await reportStep(read, printer !== null);
  const fresh = await freshReport(read.folder, step);
  if (fresh !== null) {
    await fingerprints.keep();
    const report = join(read.folder, 'report');
    return { status: EXIT.done, messages: diagnostics, results: fresh, folder: report, missing: [], unchanged: true };
  }
  const refused = await unwritable(read.folder);
  if (refused !== null) return failed([...diagnostics, refused]);
  const earlier = await earlierReport(read.folder);
  if (earlier.diagnostics.length > 0) return failed([...diagnostics, ...earlier.diagnostics]);

  // Where something has, what makes reports is loaded.
  const { makeReport } = await import('./make-report.ts');
  const { issues } = earlier;
  const made = await makeReport({ ...read, project }, { pool, printer, progress, issues, step, fingerprints });
  return { ...made, messages: [...diagnostics, ...made.messages] };
}
