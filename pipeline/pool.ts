import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { MessagePort } from 'node:worker_threads';
import pLimit from 'p-limit';
import type { Tinypool } from 'tinypool';
import { isLargeTake } from './normalise.ts';
import type { FoundTake } from './read.ts';
import { BUILT, packageFolder } from './resources.ts';
import { TakeMemory } from './take-memory.ts';
import type * as worker from './worker.ts';

type Jobs = typeof worker;
type JobName = keyof Jobs;

/** Runs jobs side by side. One pool serves all the projects of a command. */
export interface Pool {
  /** Runs one job, on a worker thread where there are any. */
  run: <Name extends Exclude<JobName, 'prepareMeasuring' | 'prepareDrawing'>>(
    name: Name,
    job: Parameters<Jobs[Name]>[0],
    handedOver?: readonly MessagePort[],
  ) => ReturnType<Jobs[Name]>;
  /** Does something with a take in memory that is lent for it, as soon as there is some. */
  withTake: <T>(folder: string, take: FoundTake, work: (memory: TakeMemory) => Promise<T>) => Promise<T>;
  /**
   * Says how many jobs are about to come, which this thread feeds; left out, many. Worker threads take a fifth of a second to start: for a
   * job or two they are left out.
   */
  expect: (jobs?: number) => void;
  /** Says that whole projects are about to come: this thread then has nothing to do but wait for them. */
  expectProjects: () => void;
  /**
   * Says that a report is about to be made of which so many takes must be read; left out, many. The threads start, one at least, and load
   * what drawings need: they draw while this thread compares.
   */
  expectReport: (takes?: number) => void;
  /** Says that a report has all it needs of the threads: after the last one they end, while it is printed. */
  reportDrawn: () => void;
  /** How many threads there are to do jobs side by side. */
  readonly threads: number;
  close: () => Promise<void>;
}

/** Loaded by its address, in this thread too: whoever asks for a job imports this file, and the jobs import whoever asks. */
const WORKER = pathToFileURL(
  join(packageFolder(), ...(BUILT ? ['dist', 'pipeline', 'worker.js'] : ['pipeline', 'worker.ts'])),
).href;

/** Every thread holds a decoded take and a heap of its own, 60 to 100 MB: more than this many and memory is the limit. */
const MOST_THREADS = 8;
/** Fewer jobs than this are done in this thread. */
const FEWEST_JOBS = 3;
/** Without threads, so many jobs are under way at once: while one waits for the disk, the other computes. */
const AT_ONCE_HERE = 2;
/** Where it is not known how many jobs will come. */
const MANY_JOBS = MOST_THREADS;
/** A thread that more jobs called for ends after so long without one. */
const IDLE_MS = 60_000;
/** A thread has its next job before it is done with one, since the thread that hands jobs out may be busy then. */
const AHEAD = 2;

/**
 * A pool of worker threads, started when there is enough to do.
 *
 * @param options.jobs most threads to use; 1 does everything in this one. Left out: as many as there are processors.
 * @param options.reports how many reports this thread will make with it; left out, it waits for more
 */
export function openPool({
  jobs = availableParallelism(),
  reports = Number.POSITIVE_INFINITY,
}: {
  jobs?: number | undefined;
  reports?: number;
} = {}): Pool {
  const threads = Math.min(jobs, MOST_THREADS);
  // Only built files can be loaded by a worker thread: run from the sources, everything is done in this one.
  const possible = threads > 1 && BUILT;
  const here = pLimit(AT_ONCE_HERE);
  const inMemory = pLimit(AHEAD * threads);
  const oneLarge = pLimit(1);
  const idle: TakeMemory[] = [];
  let workers: Promise<Tinypool> | null = null;
  const prepared = new Set<JobName>();
  /** How many threads were started at first; more come where jobs queue up. */
  let started = 0;
  const begin = (least: number, most: number, atOnce: number) => {
    if (!possible || workers !== null) return;
    started = Math.min(least, most);
    workers = startWorkers({ least: started, most, atOnce });
  };
  /** Has the threads load what they will need while this one is busy. */
  const prepare = (name: JobName) => {
    if (prepared.has(name)) return;
    prepared.add(name);
    const loading = workers?.then((pool) => Promise.all(pool.threads.map(() => pool.run(undefined, { name }))));
    // A job that needs it says what is wrong.
    loading?.catch(() => undefined);
  };
  let left = reports;
  let closing = Promise.resolve();
  const close = () => {
    const ending = workers;
    workers = null;
    if (ending) closing = ending.then((pool) => pool.destroy());
    return closing;
  };
  return {
    expect: (count = MANY_JOBS) => {
      if (count < FEWEST_JOBS) return;
      begin(count, threads - 1, AHEAD);
      prepare('prepareMeasuring');
    },
    expectProjects: () => begin(threads, threads, 1),
    expectReport: (count = MANY_JOBS) => {
      begin(count, threads - 1, AHEAD);
      prepare('prepareMeasuring');
      prepare('prepareDrawing');
    },
    get threads() {
      return Math.max(1, started);
    },
    run: (async (name: JobName, job: never, handedOver: readonly MessagePort[] = []) => {
      if (workers) return (await workers).run(job, { name, transferList: [...handedOver] });
      return here(async () => {
        const jobsHere = (await import(WORKER)) as Record<JobName, (job: never) => Promise<unknown>>;
        return jobsHere[name](job);
      });
    }) as Pool['run'],
    withTake: async (folder, take, work) => {
      const start = () =>
        inMemory(async () => {
          const memory = idle.pop() ?? new TakeMemory();
          try {
            return await work(memory);
          } finally {
            idle.push(memory);
          }
        });
      // Beside a large take memory has no room for another such; one that waits its turn keeps no other take out.
      return (await isLargeTake(folder, take)) ? oneLarge(start) : start();
    },
    reportDrawn: () => {
      left--;
      // Whoever closes the pool hears of what goes wrong.
      if (left === 0) close().catch(() => undefined);
    },
    close,
  };
}

async function startWorkers({
  least,
  most,
  atOnce,
}: {
  least: number;
  most: number;
  atOnce: number;
}): Promise<Tinypool> {
  const { Tinypool } = await import('tinypool');
  return new Tinypool({
    filename: WORKER,
    minThreads: least,
    maxThreads: most,
    idleTimeout: IDLE_MS,
    isolateWorkers: false,
    concurrentTasksPerWorker: atOnce,
  });
}
