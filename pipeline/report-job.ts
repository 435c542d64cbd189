import type { MessagePort } from 'node:worker_threads';
import type { Diagnostic } from '../src/project/diagnostic.ts';
import type { Results } from '../src/report/results.ts';
import { CannotWrite } from './cannot-write.ts';
import { EXIT } from './exit.ts';
import { faultText } from './fault-text.ts';
import { explained, type StepEvent } from './keep.ts';
import type { Printed } from './pdf.ts';
import type { Pool } from './pool.ts';
import type { Printer } from './printer.ts';
import { type Progress, SILENT } from './progress.ts';
import { reportFolder } from './report.ts';
import { reportedText } from './report-text.ts';
import { paintWith, wrap } from './terminal.ts';

/** One project of a `report` command, as plain data. */
export interface ReportJob {
  folder: string;
  /** Folders outside the project that may be read too; absolute, links resolved. */
  allow: readonly string[];
  pdf: boolean;
  /** Whether the results are wanted; they are large. */
  json: boolean;
  colour: boolean;
  /** One of several: its title stands over it. */
  many: boolean;
  /** Whether it is wanted why each step ran; asking costs a little at every step. */
  explain: boolean;
}

/** What became of one project of a `report` command, as plain data. */
export interface ReportOutcome {
  folder: string;
  title: string | null;
  status: number;
  messages: Diagnostic[];
  results: Results | null;
  /** What a terminal shows of it. */
  text: string;
  takes: { used: number; all: number };
  /** Whether it is the report that was there, nothing having changed. */
  unchanged: boolean;
  /** The steps; none where they are not wanted. */
  events: StepEvent[];
}

/** Reports one project. Whatever goes wrong with it is its own outcome, so that others go on. */
export async function runReportJob(
  job: ReportJob,
  { pool, printer, progress = SILENT }: { pool: Pool; printer: Printer; progress?: Progress },
): Promise<ReportOutcome> {
  const { folder, allow, pdf, json, many, explain } = job;
  const make = () => reportFolder(folder, { allow, pdf, progress, pool, printer });
  try {
    const { value, events } = await explained(make, explain);
    const { status, messages, results, unchanged = false } = value;
    const takes = results?.takes ?? [];
    return {
      folder,
      title: results?.project.title ?? null,
      status,
      messages,
      results: json ? results : null,
      text: reportedText(value, { folder, many, paint: paintWith(job.colour) }),
      takes: { used: takes.filter((take) => take.used).length, all: takes.length },
      unchanged,
      events,
    };
  } catch (fault) {
    if (process.env.DECAYBOOK_DEBUG) process.stderr.write(`${(fault as Error).stack}\n`);
    const message = faultText(fault);
    const messages: Diagnostic[] = [{ file: folder, line: null, column: null, severity: 'error', message }];
    // What cannot be written is named with its whole path.
    const text = wrap(fault instanceof CannotWrite ? message : `${folder}: ${message}`);
    const nothing = { title: null, results: null, takes: { used: 0, all: 0 }, unchanged: false, events: [] };
    return { folder, status: EXIT.failed, messages, text, ...nothing };
  }
}

/** What crosses between a thread that wants pages printed and the thread that has the browser. */
type PrintMessage = { id: number; html: string; date: string } | { start: true };
type PrinterMessage = { id: number; printed: Printed } | { id: number; printing: true };

/** A printer at the other end of a port. */
export function printerAt(port: MessagePort): Printer {
  const waiting = new Map<number, { onPrinted: (printed: Printed) => void; onPrinting: (() => void) | undefined }>();
  let count = 0;
  port.on('message', (message: PrinterMessage) => {
    const one = waiting.get(message.id);
    if ('printing' in message) return one?.onPrinting?.();
    waiting.delete(message.id);
    one?.onPrinted(message.printed);
  });
  return {
    start: () => port.postMessage({ start: true } satisfies PrintMessage),
    print: (html, date, onPrinting) =>
      new Promise((onPrinted) => {
        const id = ++count;
        waiting.set(id, { onPrinted, onPrinting });
        port.postMessage({ id, html, date } satisfies PrintMessage);
      }),
    close: async () => port.close(),
  };
}

/** Prints what comes in at a port. */
export function servePrinter(port: MessagePort, printer: Printer): void {
  const answer = (message: PrinterMessage) => port.postMessage(message);
  port.on('message', (message: PrintMessage) => {
    if ('start' in message) return printer.start();
    const { id, html, date } = message;
    void printer
      .print(html, date, () => answer({ id, printing: true }))
      .then(
        (printed) => answer({ id, printed }),
        (fault: unknown) => answer({ id, printed: { pdf: null, missing: faultText(fault) } }),
      );
  });
}
