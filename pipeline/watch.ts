import { extname, relative, sep } from 'node:path';
import { setTimeout as delay } from 'node:timers/promises';
import { watch as watchFiles } from 'chokidar';
import { printable } from '../src/project/diagnostic.ts';
import type { Results } from '../src/report/results.ts';
import { EXIT } from './exit.ts';
import { faultText } from './fault-text.ts';
import { beforeSignalEnds, endCleanlyOnSignals } from './interrupt.ts';
import { openPool, type Pool } from './pool.ts';
import { openPrinter, type Printer } from './printer.ts';
import { type Progress, SILENT, terminalProgress } from './progress.ts';
import { type Reported, reportFolder } from './report.ts';
import { reportedText } from './report-text.ts';
import { type ReportServer, serveReport } from './serve-report.ts';
import { abandonSwap } from './swap.ts';
import { diagnosticLine, type Paint, PLAIN, terminalPaint, wrap } from './terminal.ts';
import { whatMoved } from './what-moved.ts';
import { type WholeFileOptions, wholeFile } from './whole-file.ts';

export interface WatchOptions {
  pdf: boolean;
  /** Folders outside the project that may be read too, and are watched; absolute, links resolved. */
  allow?: readonly string[];
  /** Where to serve the report; null: not at all. */
  serve: { port: number } | null;
  pool: Pool;
  printer: Printer;
  /** Takes what there is to tell. */
  tell: (text: string) => void;
  progress?: Progress;
  paint?: Paint;
  waiting?: WholeFileOptions;
  /** Ends the watch, after the report that is being made. */
  signal: AbortSignal;
}

/** Sync clients and recorders write in bursts: a file that stands still for less may not be done. */
const WAITING: WholeFileOptions = { still_ms: 1000, unfinished_ms: 8000 };

/** Runs `watch` until it is interrupted. Returns the exit status. */
export async function watchCommand(
  folder: string,
  options: Pick<WatchOptions, 'pdf' | 'serve' | 'allow'> & { jobs: number | undefined },
): Promise<number> {
  const stop = new AbortController();
  // The first signal lets the report under way become whole; the next ends at once.
  const onSignal = () => {
    stop.abort();
    beforeSignalEnds(() => abandonSwap(folder, 'report'));
    endCleanlyOnSignals();
  };
  for (const name of ['SIGINT', 'SIGTERM'] as const) process.once(name, onSignal);
  const pool = openPool(options);
  const printer = openPrinter();
  try {
    const tell = (text: string) => void process.stdout.write(`${text}\n`);
    const shown = { progress: terminalProgress(), paint: terminalPaint() };
    await watchProject(folder, { ...options, ...shown, pool, printer, tell, signal: stop.signal });
    return EXIT.done;
  } finally {
    await Promise.all([pool.close(), printer.close()]);
  }
}

/**
 * Reports a project, and again whenever its file or a recording changes, once what changed is whole. Tells what moved since the
 * last good report; where a run fails, that report stays. Ends when the signal says so.
 */
export async function watchProject(folder: string, options: WatchOptions): Promise<void> {
  const { signal, tell } = options;
  const changes = await changesOf(folder, options);
  const server = options.serve && (await serveReport(folder, options.serve.port));
  try {
    if (server) tell(`The report is shown at ${server.address}`);
    let last: Results | null = null;
    while (!signal.aborted) {
      last = (await runOnce(folder, { ...options, last, server })) ?? last;
      if (signal.aborted || !(await changes.next())) break;
    }
  } finally {
    await changes.close();
    await server?.close();
  }
}

/** One report. Returns its results; null where it failed. */
async function runOnce(
  folder: string,
  options: WatchOptions & { last: Results | null; server: ReportServer | null },
): Promise<Results | null> {
  const { pdf, allow = [], pool, printer, tell, paint = PLAIN, progress = SILENT, last, server } = options;
  let reported: Reported;
  try {
    reported = await reportFolder(folder, { pdf, allow, pool, printer, progress });
  } catch (fault) {
    tell(paint.bad(`${folder}: ${printable(faultText(fault))}`));
    tell('The last report stands. Waiting for changes.');
    return null;
  }
  const { results, messages, missing } = reported;
  if (results === null || last === null) tell(reportedText(reported, { folder, paint, many: false }));
  else {
    const moved = whatMoved(last, results).map((line) => wrap(line, { first: '  ', rest: '    ' }));
    const lines = [
      ...messages.map((message) => diagnosticLine(message, paint)),
      ...(moved.length === 0 ? ['Nothing moved.'] : ['Since the last report:', ...moved]),
      ...missing.map((line) => paint.caution(wrap(line))),
    ];
    tell(lines.join('\n'));
  }
  if (results !== null) server?.changed();
  else tell('The last report stands.');
  tell('Waiting for changes.');
  return results;
}

interface Changes {
  /** True when something has changed and is whole; false when the watch ends. */
  next: () => Promise<boolean>;
  close: () => Promise<void>;
}

/** Changes after one another count as one. */
const BURST_MS = 200;

async function changesOf(folder: string, { waiting = WAITING, allow = [], signal }: WatchOptions): Promise<Changes> {
  const pending = new Set<string>();
  let changed = false;
  let wake: () => void = () => undefined;
  const watcher = watchFiles([folder, ...allow], {
    ignoreInitial: true,
    ignored: (path) => isOurs(relative(folder, path)),
  });
  watcher.on('all', (event, path) => {
    if (event === 'addDir') return;
    changed = true;
    if (event === 'add' || event === 'change') pending.add(path);
    wake();
  });
  await new Promise<void>((resolve) => watcher.once('ready', () => resolve()));
  signal.addEventListener('abort', () => wake(), { once: true });

  /** Until nothing more comes in, and all that came is whole. */
  const settle = async (): Promise<void> => {
    do {
      changed = false;
      const paths = [...pending];
      pending.clear();
      await Promise.all([
        delay(BURST_MS, undefined, { signal }).catch(() => undefined),
        ...paths.map((path) => wholeFile(path, waiting, signal)),
      ]);
    } while (changed && !signal.aborted);
  };
  return {
    next: async () => {
      while (!changed && !signal.aborted) {
        await new Promise<void>((resolve) => {
          wake = resolve;
        });
      }
      await settle();
      return !signal.aborted;
    },
    close: () => watcher.close(),
  };
}

/** Whether a path is written by the tool or meant for nobody: the report, hidden files, what editors and sync clients leave. */
function isOurs(path: string): boolean {
  const parts = path.split(sep);
  return (
    parts[0] === 'report' ||
    parts.some((part) => part.startsWith('.') && part !== '.' && part !== '..') ||
    parts.includes('node_modules') ||
    ['.part', '.tmp', '.crdownload'].includes(extname(path))
  );
}
