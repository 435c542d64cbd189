import type { Diagnostic } from '../src/project/diagnostic.ts';
import type { Project } from '../src/project/project.ts';
import type { Results, TakeResult } from '../src/report/results.ts';
import { settleNumbers } from '../src/report/settle-numbers.ts';
import { projectTarget } from '../src/room/targets.ts';
import { adviseProject } from './advise.ts';
import { analyseProject } from './analyse-project.ts';
import { changeTable } from './change-table.ts';
import { chartProject } from './chart.ts';
import { compareProject } from './compare.ts';
import { EXIT } from './exit.ts';
import { prepareListening } from './listen.ts';
import { type Progress, SILENT, terminalProgress } from './progress.ts';
import { readProject } from './read.ts';
import { renderReport } from './render.ts';
import { packageVersion } from './resources.ts';
import { diagnosticLine, type Paint, terminalPaint, wrap } from './terminal.ts';

/** What became of one project. */
export interface Reported {
  status: number;
  messages: Diagnostic[];
  results: Results | null;
  /** The report folder, where one was written. */
  folder: string | null;
  /** What could not be made, each with how to get it. */
  missing: string[];
}

/** Runs `report` over some project folders, one after the other; one that fails does not stop the others. Returns the exit status. */
export async function report(folders: readonly string[], options: { json: boolean; pdf: boolean }): Promise<number> {
  const paint = await terminalPaint();
  const done: Reported[] = [];
  for (const folder of folders) {
    const progress = options.json ? SILENT : terminalProgress();
    const one = await reportFolder(folder, { pdf: options.pdf, progress });
    done.push(one);
    if (!options.json) process.stdout.write(`${reportedText(one, { folder, paint, many: folders.length > 1 })}\n`);
  }
  if (options.json) {
    const projects = done.map(({ status, messages, results }, i) => ({
      folder: folders[i],
      status,
      messages,
      results,
    }));
    process.stdout.write(`${JSON.stringify({ projects }, null, 2)}\n`);
  }
  return done.some(({ status }) => status !== EXIT.done) ? EXIT.failed : EXIT.done;
}

/**
 * The whole flow for one project folder:
 *
 *     project.yaml + recordings -> read -> normalise, align, analyse -> compare -> advise -> chart -> render -> report/
 *
 * Data flows down and never back up. A project that cannot be reported leaves an earlier report as it was.
 */
export async function reportFolder(
  folder: string,
  { pdf, progress }: { pdf: boolean; progress: Progress },
): Promise<Reported> {
  // 1. Read the project file and find the recordings.
  progress.step('Reading the project');
  const read = await readProject(folder);
  const { project, diagnostics } = read;
  const failed = (messages: Diagnostic[]): Reported => {
    progress.end();
    return { status: EXIT.failed, messages, results: null, folder: null, missing: [] };
  };
  if (project === null || diagnostics.some(({ severity }) => severity === 'error')) return failed(diagnostics);

  // 2 to 4. Normalise, align and analyse every take.
  progress.step(`Listening to ${read.takes.length} ${read.takes.length === 1 ? 'take' : 'takes'}`);
  const { takes, traces } = await analyseProject(read, {
    onTake: (done, total, take) => progress.part(`Listening: ${done} of ${total} takes, ${take.file}`),
  });
  if (takes.length > 0 && !takes.some((take) => take.used)) {
    return failed([...diagnostics, ...takes.flatMap(reasonsOf), nothingUsable(takes.length)]);
  }

  // 5. Compare the stages.
  progress.step('Comparing the stages');
  const { stages, changes } = compareProject(project, takes);
  const listening = await prepareListening(read.folder, takes, changes);

  // 6. Say what it means and what to do next.
  const advice = adviseProject(project, { takes, stages, changes }, read.materials);
  const results = settleNumbers(
    resultsOf(project, { takes, stages, changes, listening: listening.map(({ entry }) => entry), advice }),
  );

  // 7. Draw the charts.
  progress.step('Drawing the charts');
  const target = projectTarget(project);
  const drawn = await chartProject(results, traces, target);

  // 8. Write the report, whole.
  progress.step(pdf ? 'Writing the report and printing it' : 'Writing the report');
  const rendered = await renderReport(read.folder, { results, target, drawn, listening, pdf });
  progress.end();
  return { status: EXIT.done, messages: diagnostics, results, ...rendered };
}

function resultsOf(
  project: Project,
  found: Pick<Results, 'takes' | 'stages' | 'changes' | 'listening' | 'advice'>,
): Results {
  return {
    format: 'decaybook-results/1',
    tool: { name: 'decaybook', version: packageVersion() },
    project,
    ...found,
  };
}

function reasonsOf(take: TakeResult): Diagnostic[] {
  return take.faults
    .filter((fault) => fault.severity === 'reject')
    .map(({ message }) => ({ file: take.file, line: null, column: null, severity: 'error', message }));
}

function nothingUsable(count: number): Diagnostic {
  const message = `none of the ${count} recordings can be used: mend what is named above and record again`;
  return { file: 'recordings', line: null, column: null, severity: 'error', message };
}

/** What a terminal shows of one project: messages, what was set aside and why, what changed, where the report lies. */
function reportedText(one: Reported, { folder, paint, many }: { folder: string; paint: Paint; many: boolean }): string {
  const { results, messages, missing } = one;
  const parts = [
    many ? [paint.strong(results?.project.title ?? folder)] : [],
    messages.map((message) => diagnosticLine(message, paint)),
    results === null ? [] : setAsideLines(results.takes, paint),
    results === null ? [] : [changeTable(results, paint)].filter((text) => text !== ''),
    missing.map((line) => paint.caution(wrap(line))),
    one.folder === null ? [] : [`Report: ${one.folder}`],
  ];
  return parts
    .filter((lines) => lines.length > 0)
    .map((lines) => lines.join('\n'))
    .join('\n\n');
}

function setAsideLines(takes: readonly TakeResult[], paint: Paint): string[] {
  return takes.flatMap((take) => {
    const own = take.faults.filter((fault) => fault.severity === 'reject');
    const single = take.responses.flatMap(({ onset_s, used, faults }) =>
      used ? [] : faults.map(({ message }) => ({ message: `at ${onset_s.toFixed(2)} s: ${message}` })),
    );
    return [...(take.used ? [] : own), ...(take.used ? single : [])].map(({ message }) =>
      wrap(`set aside: ${take.file}: ${message}`, { rest: '  ' }).replace(/^set aside/, paint.caution),
    );
  });
}
