import { isDrawn } from '../src/charts/chart.ts';
import type { Diagnostic } from '../src/project/diagnostic.ts';
import type { IssueLog } from '../src/report/issues.ts';
import { RESULTS_FORMAT } from '../src/report/read-results.ts';
import { remarksOn } from '../src/report/remarks.ts';
import type { Results, TakeResult } from '../src/report/results.ts';
import { settleNumbers } from '../src/report/settle-numbers.ts';
import { speechByStage } from '../src/report/speech-by-stage.ts';
import { projectTarget } from '../src/room/targets.ts';
import { joinedComparison } from '../src/statistics/compare-stages.ts';
import { adviseProject } from './advise.ts';
import { analyseProject } from './analyse-project.ts';
import { chartsOf, takeChartsOf } from './chart.ts';
import { openDrawing } from './drawing.ts';
import { EXIT } from './exit.ts';
import type { Fingerprints } from './fingerprints.ts';
import { type HeldWrites, holdWrites } from './held-writes.ts';
import { keepFolder, type StepInputs } from './keep.ts';
import { comparisonOf } from './kept-comparison.ts';
import { prepareListening } from './listen.ts';
import { preparePhotos } from './photos.ts';
import type { Pool } from './pool.ts';
import type { Printer } from './printer.ts';
import type { Progress } from './progress.ts';
import type { ReadProject } from './read.ts';
import { renderReport } from './render.ts';
import type { Reported } from './report.ts';
import { packageVersion } from './resources.ts';
import { sandboxNote } from './sandbox-note.ts';

/** While takes are read there is no processor to spare for the browser to start on; with the last of them it starts. */
const LAST_TAKES = 8;

interface MakeOptions {
  pool: Pool;
  /** What prints the PDF; null: none is wanted. */
  printer: Printer | null;
  progress: Progress;
  /** The issues of the report so far; null: this is the first. */
  issues: IssueLog | null;
  /** What the report is made from: noted when it is whole. */
  step: StepInputs;
  /** Those of the recordings, to be kept. */
  fingerprints: Fingerprints;
}

type ReadWell = ReadProject & { project: NonNullable<ReadProject['project']> };

/** Makes the report of a project that was read, from its recordings to the report folder, and writes it. */
export async function makeReport(read: ReadWell, options: MakeOptions): Promise<Reported> {
  const held = holdWrites(keepFolder(read.folder));
  try {
    return await make(read, { ...options, held });
  } finally {
    await held.settled();
  }
}

async function make(
  read: ReadWell,
  { pool, printer, progress, issues, step, fingerprints, held }: MakeOptions & { held: HeldWrites },
): Promise<Reported> {
  const { project } = read;
  await fingerprints.keep();
  // 2 to 4. Normalise, align and analyse every take.
  progress.step(`Listening to ${read.takes.length} ${read.takes.length === 1 ? 'take' : 'takes'}`);
  const analysed = await analyseProject(read, {
    pool,
    onMissing: (count) => {
      if (count > 0) pool.expectReport(count);
      if (count < LAST_TAKES) printer?.start();
    },
    onTake: (done, total, take) => {
      if (total - done < LAST_TAKES) printer?.start();
      progress.part(`Listening: ${done} of ${total} takes, ${take.file}`);
    },
  });
  const { takes, traces } = analysed;
  if (takes.length > 0 && !takes.some((take) => take.used)) {
    const messages = [...takes.flatMap(reasonsOf), nothingUsable(takes.length)];
    return { status: EXIT.failed, messages, results: null, folder: null, missing: [] };
  }
  printer?.start();

  // 5. Compare the stages. Charts are begun meanwhile: those of the recordings at once, the rest as octaves alone have them. One that comes
  // out otherwise in the end is drawn again.
  progress.step('Comparing the stages');
  const target = projectTarget(project);
  const drawing = openDrawing(read.folder, pool);
  const settled = settleNumbers({ project, takes });
  const ofTakes = takeChartsOf({ ...settled, traces });
  await drawing.begin([...ofTakes.curves, ...ofTakes.takes].filter(isDrawn));
  const { value: inOctaves, ran } = await comparisonOf({ folder: read.folder, project }, analysed, 'octave');
  // Where the comparison was kept, all charts follow at once.
  if (ran) {
    const advised = adviseProject(project, { takes, ...inOctaves }, read.materials);
    const likely = { ...settled, ...settleNumbers({ ...inOctaves, advice: advised }) };
    await drawing.begin(chartsOf(resultsOf(likely), { traces, target, ofTakes }));
  }
  const { value: inThirds } = await comparisonOf({ folder: read.folder, project }, analysed, 'third-octave');
  const { stages, changes } = joinedComparison(inOctaves, inThirds);

  // 6. Say what it means and what to do next.
  const advice = adviseProject(project, { takes, stages, changes }, read.materials);
  const speech = speechByStage(takes, traces);
  const found = {
    ...settled,
    ...settleNumbers({ stages, changes, remarks: remarksOn(project, takes), advice, speech }),
  };

  // 7. Draw the charts, and meanwhile make what is heard and seen beside them.
  progress.step('Drawing the charts');
  const charts = chartsOf(resultsOf(found), { traces, target, ofTakes });
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
    onDrawn: () => pool.reportDrawn(),
    listening,
    photos: pictures.pictures,
    logo: read.logo,
    earlierIssues: issues,
    printer,
    held,
    step,
  });
  const printed = printer !== null && rendered.missing.length === 0 ? sandboxNote() : [];
  return { status: EXIT.done, messages: [...pictures.diagnostics, ...printed], results, ...rendered };
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
