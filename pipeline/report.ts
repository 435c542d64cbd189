import { join } from 'node:path';
import type { Diagnostic } from '../src/project/diagnostic.ts';
import { RESULTS_FORMAT } from '../src/report/read-results.ts';
import { remarksOn } from '../src/report/remarks.ts';
import type { Results, TakeResult } from '../src/report/results.ts';
import { settleNumbers } from '../src/report/settle-numbers.ts';
import { speechByStage } from '../src/report/speech-by-stage.ts';
import { projectTarget } from '../src/room/targets.ts';
import { joinedComparison } from '../src/statistics/compare-stages.ts';
import { adviseProject } from './advise.ts';
import { analyseProject } from './analyse-project.ts';
import { chartsOf, chartsOfTakes } from './chart.ts';
import { comparedPairs, compareProject } from './compare.ts';
import { openDrawing } from './drawing.ts';
import { earlierReport } from './earlier-report.ts';
import { EXIT } from './exit.ts';
import { freshReport, reportStep } from './fresh-report.ts';
import { anythingKept } from './keep.ts';
import { prepareListening } from './listen.ts';
import { unwritable } from './own-folders.ts';
import { preparePhotos } from './photos.ts';
import { openPool, type Pool } from './pool.ts';
import { openPrinter, type Printer } from './printer.ts';
import type { Progress } from './progress.ts';
import { putBackReport } from './put-back-report.ts';
import { readProject } from './read.ts';
import { renderReport } from './render.ts';
import { packageVersion } from './resources.ts';
import { sandboxNote } from './sandbox-note.ts';

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

/** While takes are read there is no processor to spare for the browser to start on; with the last of them it starts. */
const LAST_TAKES = 8;

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
  // Where nothing is kept all will have to be made: the threads start while this one reads.
  if (!(await anythingKept(folder))) pool.expectReport();
  const read = await readProject(folder, { allow });
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
    const report = join(read.folder, 'report');
    return { status: EXIT.done, messages: diagnostics, results: fresh, folder: report, missing: [] };
  }
  const refused = await unwritable(read.folder);
  if (refused !== null) return failed([...diagnostics, refused]);
  const earlier = await earlierReport(read.folder);
  if (earlier.diagnostics.length > 0) return failed([...diagnostics, ...earlier.diagnostics]);

  // 2 to 4. Normalise, align and analyse every take.
  progress.step(`Listening to ${read.takes.length} ${read.takes.length === 1 ? 'take' : 'takes'}`);
  const { takes, traces } = await analyseProject(read, {
    pool,
    onMissing: (count) => {
      if (count > 0) pool.expectReport();
    },
    onTake: (done, total, take) => {
      if (total - done < LAST_TAKES) printer?.start();
      progress.part(`Listening: ${done} of ${total} takes, ${take.file}`);
    },
  });
  if (takes.length > 0 && !takes.some((take) => take.used)) {
    return failed([...diagnostics, ...takes.flatMap(reasonsOf), nothingUsable(takes.length)]);
  }
  printer?.start();

  // 5. Compare the stages. Charts are begun as soon as they are likely to stay as they are: what the recordings show by themselves before,
  // what octaves show while third octaves are compared. A chart that comes out otherwise in the end is drawn again.
  progress.step('Comparing the stages');
  const target = projectTarget(project);
  const drawing = openDrawing(read.folder, pool);
  const settled = settleNumbers({ project, takes });
  await drawing.begin(chartsOfTakes({ ...settled, traces, pairs: comparedPairs(project, takes) }));
  const inOctaves = compareProject(project, takes, traces, ['octave']);
  const advised = adviseProject(project, { takes, ...inOctaves }, read.materials);
  const likely = { ...settled, ...settleNumbers({ ...inOctaves, advice: advised }) };
  await drawing.begin(chartsOf(resultsOf(likely), traces, target));
  const compared = joinedComparison(inOctaves, compareProject(project, takes, traces, ['third-octave']));
  const { stages, changes } = compared;

  // 6. Say what it means and what to do next.
  const advice = adviseProject(project, { takes, stages, changes }, read.materials);
  const speech = speechByStage(takes, traces);
  const found = {
    ...settled,
    ...settleNumbers({ stages, changes, remarks: remarksOn(project, takes), advice, speech }),
  };

  // 7. Draw the charts, and meanwhile make what is heard and seen beside them.
  progress.step('Drawing the charts');
  const charts = chartsOf(resultsOf(found), traces, target);
  await drawing.begin(charts);
  const listening = await prepareListening(read.folder, { takes, changes });
  const pictures = await preparePhotos(read.folder, read.photos, pool);
  const photos = read.photos
    .filter(({ file }) => pictures.pictures.has(file))
    .map(({ stage, file, caption }) => ({ stage, file, caption }));
  const results = resultsOf({
    ...found,
    ...settleNumbers({ listening: listening.map(({ entry }) => entry), photos }),
  });

  // 8. Write the report, whole.
  progress.step(printer ? 'Writing the report and printing it' : 'Writing the report');
  const rendered = await renderReport(read.folder, {
    results,
    target,
    charts,
    drawing,
    listening,
    photos: pictures.pictures,
    logo: read.logo,
    earlierIssues: earlier.issues,
    printer,
    step,
  });
  const printed = printer !== null && rendered.missing.length === 0 ? sandboxNote() : [];
  return { status: EXIT.done, messages: [...diagnostics, ...pictures.diagnostics, ...printed], results, ...rendered };
}

/** In the order in which they are written. */
function resultsOf(found: Omit<Results, 'format' | 'tool'>): Results {
  const { project, takes, stages, changes, remarks, listening, photos, advice, speech } = found;
  return {
    format: RESULTS_FORMAT,
    tool: { name: 'decaybook', version: packageVersion() },
    project,
    takes,
    stages,
    changes,
    remarks,
    listening,
    photos,
    advice,
    speech,
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
