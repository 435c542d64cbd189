import { type CheckSummary, summariseCheck } from '../src/report/check-summary.ts';
import type { TakeResult } from '../src/report/results.ts';
import { analyseProject } from './analyse-project.ts';
import { type CheckPlanning, planningOf, planningText } from './check-planning.ts';
import { checkText } from './check-text.ts';
import { EXIT } from './exit.ts';
import { openFingerprints } from './fingerprints.ts';
import { anythingKept, explained } from './keep.ts';
import { openPool, type Pool } from './pool.ts';
import { type Progress, SILENT, terminalProgress } from './progress.ts';
import { putBackReport } from './put-back-report.ts';
import { type ReadProject, readProject } from './read.ts';
import { explanation } from './report-summary.ts';
import { diagnosticLine, terminalPaint, wrap } from './terminal.ts';

/** What `check` found in one project. */
export interface Checked {
  read: ReadProject;
  status: number;
  takes: TakeResult[];
  /** null where the project file is broken. */
  summary: CheckSummary | null;
  /** What is still open and would settle it, or what a plan can find; null where the project file is broken. */
  planning: CheckPlanning | null;
}

/**
 * Runs `check` over some project folders: prints what is good, what to record again and why. Returns the exit status: 1 where
 * a project cannot be reported or a take must be recorded again.
 */
export async function check(
  folders: readonly string[],
  options: { json: boolean; jobs?: number | undefined; explain?: boolean; allow?: readonly string[] },
): Promise<number> {
  const pool = openPool(options);
  try {
    return await checkAll(folders, { ...options, pool });
  } finally {
    await pool.close();
  }
}

async function checkAll(
  folders: readonly string[],
  options: { json: boolean; explain?: boolean; allow?: readonly string[]; pool: Pool },
): Promise<number> {
  const { pool, allow = [] } = options;
  const checked: Checked[] = [];
  const paint = terminalPaint();
  for (const folder of folders) {
    const progress = options.json ? SILENT : terminalProgress();
    const look = () => checkFolder(folder, { pool, progress, allow });
    const { value: one, events } = await explained(look, options.explain ?? false);
    if (options.explain) process.stderr.write(explanation({ folder, events }));
    checked.push(one);
    if (options.json) continue;
    const { read, summary, planning } = one;
    const planned = planning === null ? '' : planningText(planning, paint);
    const name = read.project?.title ?? folder;
    const lines = [
      ...(folders.length > 1 ? [paint.strong(wrap(`${folder}: ${name}`))] : []),
      ...read.diagnostics.map((diagnostic) => diagnosticLine(diagnostic, paint)),
      ...(read.diagnostics.length > 0 && summary !== null ? [''] : []),
      ...(summary === null ? [] : [checkText(summary, paint)]),
      ...(planned === '' ? [] : ['', planned]),
    ];
    process.stdout.write(`${lines.join('\n')}\n${folders.length > 1 ? '\n' : ''}`);
  }
  if (options.json) {
    const projects = checked.map(({ read, status, takes, summary, planning }, i) => ({
      folder: folders[i],
      status,
      messages: read.diagnostics,
      results: summary === null ? null : { takes, summary, planning },
    }));
    process.stdout.write(`${JSON.stringify({ projects }, null, 2)}\n`);
  }
  return checked.some(({ status }) => status !== EXIT.done) ? EXIT.failed : EXIT.done;
}

/** Reads a project folder and judges every take in it, from its octaves: third octaves take most of the time and judge nothing. */
export async function checkFolder(
  folder: string,
  {
    progress = SILENT,
    pool = openPool({ jobs: 1 }),
    allow = [],
  }: { progress?: Progress; pool?: Pool; allow?: readonly string[] } = {},
): Promise<Checked> {
  // Where nothing is kept every take will have to be read: the threads start while this one reads the project.
  if (!(await anythingKept(folder))) pool.expect();
  const fingerprints = openFingerprints(folder);
  const read = await readProject(folder, { allow, fingerprints });
  if (read.project !== null) read.diagnostics.push(...(await putBackReport(read.folder)));
  const broken = read.diagnostics.some(({ severity }) => severity === 'error');
  if (read.project === null) return { read, status: EXIT.failed, takes: [], summary: null, planning: null };
  const { takes, traces } = await analyseProject(read, {
    pool,
    widths: ['octave'],
    onTake: (done, total) => progress.part(`${done} of ${total} takes`),
  });
  await fingerprints.keep();
  progress.end();
  const summary = summariseCheck(read.project, takes);
  const status = broken || summary.record_again.length > 0 ? EXIT.failed : EXIT.done;
  return { read, status, takes, summary, planning: planningOf(read.project, takes, traces) };
}
