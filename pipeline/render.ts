import { extname, join } from 'node:path';
import type { Chart } from '../src/charts/chart.ts';
import { buildDocument } from '../src/report/build-document.ts';
import { type IssueLog, nextIssue } from '../src/report/issues.ts';
import type { Results } from '../src/report/results.ts';
import { resultsCsv } from '../src/report/results-csv.ts';
import type { Target } from '../src/room/targets.ts';
import { digest } from './digest.ts';
import type { Drawing } from './drawing.ts';
import { ISSUES_FILE } from './earlier-report.ts';
import { embedClips } from './embed-clips.ts';
import { manifestFor, noteReport } from './fresh-report.ts';
import type { HeldWrites } from './held-writes.ts';
import { keepFolder, kept, put, type StepInputs } from './keep.ts';
import { clipFiles, type PreparedPair } from './listen.ts';
import { loadWords } from './load-words.ts';
import { type PageAssets, renderPage } from './page.ts';
import type { Printed } from './pdf.ts';
import type { Printer } from './printer.ts';
import { readRegular } from './read-regular.ts';
import { swapIn } from './swap.ts';
import { trimKept } from './trim-kept.ts';
import { utf8 } from './utf8.ts';
import { writeFiles } from './write-files.ts';

/** Raised whenever the same page would be printed otherwise. */
const PRINTING_VERSION = 1;

export interface RenderInput {
  results: Results;
  target: Target;
  charts: readonly Chart[];
  /** Where they are drawn. */
  drawing: Drawing;
  /** Called when all are: nothing more is asked of the threads. */
  onDrawn: () => void;
  listening: readonly PreparedPair[];
  /** Photos as JPEG, by their file. */
  photos: ReadonlyMap<string, Uint8Array>;
  /** The logo, relative to the project folder; null: none that may be shown. */
  logo: string | null;
  /** The issues of the report so far; null: this is the first. */
  earlierIssues: IssueLog | null;
  /** What prints the PDF; null: none is wanted. */
  printer: Printer | null;
  /** What is to be kept of the steps before: written while the browser prints. */
  held: HeldWrites;
  /** What the report is made from: noted when it is whole, so that it need not be made again. */
  step: StepInputs;
}

/** Where the report lies, and what could not be made, each with how to get it. */
export interface Rendered {
  folder: string;
  missing: string[];
}

/** Writes the whole report folder aside and swaps it in: HTML, PDF, JSON, CSV, charts and listening clips. */
export async function renderReport(projectFolder: string, input: RenderInput): Promise<Rendered> {
  const { results, target, charts, drawing, listening } = input;
  const words = await loadWords(results.project.language);
  const issues = nextIssue(input.earlierIssues, results);
  const logo = await readLogo(projectFolder, input.logo);
  const document = buildDocument({ results, figures: charts, target, words, issues });
  const json = (value: unknown) => utf8(`${JSON.stringify(value, null, 2)}\n`);
  const tables = (): [string, Uint8Array][] => [
    ['results.json', json(results)],
    ['results.csv', utf8(resultsCsv(results))],
    [ISSUES_FILE, json(issues)],
  ];
  // Without a browser nothing waits for the page: the drawings are still being made.
  if (!input.printer) input.held.release();
  const early = input.printer ? null : tables();
  const drawn = await drawing.drawn(charts);
  input.onDrawn();
  const drawings = new Map(drawn.map(({ chart, svg }) => [chart.id, svg]));
  const assets = { logo, paper: results.project.paper, photos: input.photos, drawings };
  // The browser prints while everything else is made and written; until it has its page, it needs an answer from here now and then.
  const printing =
    input.printer &&
    printPage(projectFolder, await renderPage(document, { ...assets, medium: 'paper' }), {
      printer: input.printer,
      date: results.project.date,
    });
  await printing?.begun;
  input.held.release();
  const clips = embedClips(document, listening);
  const onScreen = await renderPage(document, { ...assets, medium: 'screen', clips });
  // Bytes, since they are both written and digested.
  const files = new Map<string, Uint8Array>([
    ...(early ?? tables()),
    ['report.html', utf8(onScreen)],
    ...drawn.flatMap(({ chart, svg }): [string, Uint8Array][] => [
      [`charts/${chart.id}.svg`, utf8(svg)],
      [`charts/${chart.id}.vl.json`, json(chart.spec)],
    ]),
    ...clipFiles(listening),
  ]);
  const missing: string[] = [];
  const folder = await swapIn(projectFolder, 'report', async (aside) => {
    const shown = join(projectFolder, 'report');
    await writeFiles(aside, files, shown);
    const manifest = manifestFor(files);
    await drawing.settled();
    await input.held.settled();
    await trimKept(keepFolder(projectFolder));
    const printed = await printing?.done;
    const last = new Map(printed?.pdf ? [['report.pdf', printed.pdf]] : []);
    if (printed && 'missing' in printed) missing.push(printed.missing);
    // Noted before it is there, which does no harm: what is noted is held against what is there.
    const whole = { ...manifest, ...manifestFor(last) };
    const noted = missing.length === 0 && noteReport(projectFolder, input.step, whole);
    await Promise.all([writeFiles(aside, last, shown), noted, printing?.settled]);
  });
  return { folder, missing };
}

interface PrintOptions {
  printer: Printer;
  date: string;
}

interface Printing {
  /** When the browser needs nothing more for it, or when there is nothing to wait for; it never fails. */
  begun: Promise<unknown>;
  done: Promise<Printed>;
  /** When what was printed is kept; it fails as `done` does. */
  settled: Promise<unknown>;
}

/** Begins to print a page, unless the same page was printed before. */
function printPage(projectFolder: string, html: string, { printer, date }: PrintOptions): Printing {
  let onPrinting: () => void = () => undefined;
  const printing = new Promise<void>((resolve) => {
    onPrinting = resolve;
  });
  const folder = keepFolder(projectFolder);
  const inputs = { page: digest(html), date };
  const step: StepInputs = { step: 'print', version: PRINTING_VERSION, code: 'report', subject: 'report.pdf', inputs };
  const found = kept(folder, step);
  const done = found.then((pdf): Promise<Printed> | Printed => (pdf ? { pdf } : printer.print(html, date, onPrinting)));
  const settled = Promise.all([found, done]).then(([before, { pdf }]) => {
    return before === null && pdf ? put(folder, step, pdf) : undefined;
  });
  // Whoever waits for it hears of it.
  settled.catch(() => undefined);
  return { begun: Promise.race([printing, done.catch(() => undefined)]), done, settled };
}

/** It is within the page, twice. */
const LARGEST_LOGO_BYTES = 3_000_000;

const LOGO_MIME: Record<string, NonNullable<PageAssets['logo']>['mime']> = {
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
};

/** The logo of the project, or null where there is none that can be shown; that it is missing was said when the project was read. */
async function readLogo(folder: string, logo: string | null): Promise<PageAssets['logo']> {
  const mime = logo && LOGO_MIME[extname(logo).toLowerCase()];
  if (!logo || !mime) return null;
  try {
    return { mime, bytes: await readRegular(join(folder, logo), { most_bytes: LARGEST_LOGO_BYTES, links: true }) };
  } catch {
    return null;
  }
}
