import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Worker } from 'node:worker_threads';

/** No case may take more processor time than this (by the clock, twelve times as much: other work may hold the processors), nor the process more memory. */
export const LONGEST_MS = 10_000;
export const MOST_MB = 1500;
const LARGEST_CASE = 8_000_000;

/**
 * A second thread that looks at this one every 50 ms: a case that hangs cannot tell of itself. Where a case takes too long or the
 * process too much memory, the thread writes the case out, says so, and ends the process.
 */
const WATCH = `
const { workerData } = require('node:worker_threads');
const { writeFileSync } = require('node:fs');
const { times, bytes, kind, folder, longest_ms, most_mb } = workerData;
setInterval(() => {
  const [begun, length, number] = times;
  const mb = process.memoryUsage.rss() / 1e6;
  if (mb > times[3]) times[3] = mb;
  const { user, system } = process.cpuUsage();
  const late = begun > 0 && ((user + system) / 1000 - times[4] > longest_ms || Date.now() - begun > 12 * longest_ms);
  if (!late && mb <= most_mb) return;
  const what = Buffer.from(kind).toString('utf8').replace(/\\0+$/, '');
  const name = folder + '/' + (late ? 'hang' : 'memory') + '-' + what.replace(/[^a-z0-9]+/gi, '-') + '-' + number + '.bin';
  writeFileSync(name, Buffer.from(bytes).subarray(0, length));
  process._rawDebug(late ? 'HANG' : 'MEMORY ' + mb.toFixed(0) + ' MB', 'in', what, number, 'written to', name);
  process.kill(process.pid, 'SIGKILL');
}, 50);
`;

export interface Tally {
  kind: string;
  cases: number;
  /** Those that were read rather than refused. */
  read: number;
  /** Processor time. */
  slowest_ms: number;
  failures: string[];
}

/** Runs cases one after the other and tells of each kind how many there were, how long the slowest took, and what failed. */
export class Guard {
  readonly tallies = new Map<string, Tally>();
  readonly #times = new Float64Array(new SharedArrayBuffer(40));
  readonly #bytes = new Uint8Array(new SharedArrayBuffer(LARGEST_CASE));
  readonly #kind = new Uint8Array(new SharedArrayBuffer(100));
  readonly #folder: string;
  readonly #watch: Worker;

  constructor(folder: string) {
    this.#folder = folder;
    mkdirSync(folder, { recursive: true });
    this.#watch = new Worker(WATCH, {
      eval: true,
      workerData: {
        times: this.#times,
        bytes: this.#bytes,
        kind: this.#kind,
        folder,
        longest_ms: LONGEST_MS,
        most_mb: MOST_MB,
      },
    });
    this.#watch.unref();
  }

  /** Highest memory of the process so far. */
  get peak_mb(): number {
    return this.#times[3]!;
  }

  /** Runs one case: `run` gives what is wrong, or null, and whether the input was read. A case that fails is written out. */
  async run(
    kind: string,
    number: number,
    input: Uint8Array,
    run: () => Promise<{ fault: string | null; read: boolean }> | { fault: string | null; read: boolean },
  ): Promise<void> {
    const tally = this.tallies.get(kind) ?? { kind, cases: 0, read: 0, slowest_ms: 0, failures: [] };
    this.tallies.set(kind, tally);
    this.#bytes.set(input.subarray(0, LARGEST_CASE));
    this.#times[1] = Math.min(input.length, LARGEST_CASE);
    this.#times[2] = number;
    this.#kind.fill(0);
    this.#kind.set(Buffer.from(kind).subarray(0, 100));
    const begun_ms = processor_ms();
    this.#times[4] = begun_ms;
    this.#times[0] = Date.now();
    let outcome: { fault: string | null; read: boolean };
    try {
      outcome = await run();
    } catch (error) {
      outcome = {
        fault: `threw ${error instanceof Error ? error.stack?.split('\n').slice(0, 4).join(' | ') : error}`,
        read: false,
      };
    }
    this.#times[0] = 0;
    tally.cases++;
    if (outcome.read) tally.read++;
    tally.slowest_ms = Math.max(tally.slowest_ms, processor_ms() - begun_ms);
    if (outcome.fault === null) return;
    const file = join(this.#folder, `${kind.replaceAll(/[^a-z0-9]+/gi, '-')}-${number}.bin`);
    writeFileSync(file, input);
    tally.failures.push(`${kind} ${number}: ${outcome.fault} (written to ${file})`);
  }

  async close(): Promise<void> {
    await this.#watch.terminate();
  }
}

function processor_ms(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
}

/** The table of a run. */
export function tallyTable(tallies: Iterable<Tally>): string {
  const all = [...tallies];
  const sum = (pick: (tally: Tally) => number) => all.reduce((total, tally) => total + pick(tally), 0);
  const row = (kind: string, cases: number, read: number, slowest_ms: number, failed: number) =>
    `| ${kind} | ${cases} | ${read} | ${slowest_ms.toFixed(0)} | ${failed} |`;
  return [
    '| kind | cases | read | slowest ms | failed |',
    '|---|---|---|---|---|',
    ...all.map((one) => row(one.kind, one.cases, one.read, one.slowest_ms, one.failures.length)),
    row(
      'all',
      sum(({ cases }) => cases),
      sum(({ read }) => read),
      Math.max(...all.map((one) => one.slowest_ms)),
      sum(({ failures }) => failures.length),
    ),
  ].join('\n');
}
