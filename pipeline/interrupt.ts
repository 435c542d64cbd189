import { constants } from 'node:os';

const SIGNALS = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const;
const cleanups = new Set<() => void>();

/** Has something done, at once and without waiting, when a signal is about to end this process. Returns what calls it off. */
export function beforeSignalEnds(cleanup: () => void): () => void {
  cleanups.add(cleanup);
  return () => void cleanups.delete(cleanup);
}

/**
 * From now on Ctrl-C, a closed terminal and a request to end leave everything whole: what was given to `beforeSignalEnds` is done,
 * one line says so, and the process ends by that very signal, so that a shell knows (status 130 after Ctrl-C, 143 after a request).
 */
export function endCleanlyOnSignals(): void {
  for (const name of SIGNALS) process.once(name, () => end(name));
}

function end(signal: (typeof SIGNALS)[number]): void {
  for (const cleanup of cleanups) {
    try {
      cleanup();
    } catch {
      // What is left is put right by the next run.
    }
  }
  process.stderr.write('\ndecaybook: stopped; what was there before stands\n');
  for (const name of SIGNALS) process.removeAllListeners(name);
  if (process.platform === 'win32') process.exit(128 + constants.signals[signal]);
  process.kill(process.pid, signal);
}
