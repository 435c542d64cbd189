import { renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { pathToFileURL } from 'node:url';
import { setFlagsFromString } from 'node:v8';
import { isMainThread, Worker } from 'node:worker_threads';
import type * as codeParts from './code-parts.ts';
import { packageFolder } from './resources.ts';

// Loaded before the built program, in each of its threads, while the build rehearses it: what the engine made of the functions that ran is
// written beside their parts.

// The very copy that the program uses: it knows which parts are open.
const address = pathToFileURL(join(packageFolder(), 'dist', 'pipeline', 'code-parts.js')).href;
const { keptCodeFile, openParts } = (await import(address)) as typeof codeParts;

/** Ten times what a thread was seen to take to write its code. */
const TO_WRITE_MS = 1000;

function keepCode(): void {
  // Code that was made under other flags is not taken.
  setFlagsFromString('--flush-bytecode');
  for (const { file, script } of openParts()) {
    // Whole at once: a thread may be ended while it writes.
    const aside = `${keptCodeFile(file)}.part`;
    writeFileSync(aside, script.createCachedData());
    renameSync(aside, keptCodeFile(file));
  }
  setFlagsFromString('--no-flush-bytecode');
}

// Else functions that ran only once, at the start, would be gone at the end.
setFlagsFromString('--no-flush-bytecode');
if (isMainThread) {
  process.on('exit', keepCode);
  endThreadsLater();
} else keepWhereItWaits();

/** Threads end as soon as nothing more is asked of them; here they get the time to write what they have. */
function endThreadsLater(): void {
  Worker.prototype.terminate = new Proxy(Worker.prototype.terminate, {
    apply: async (terminate, self, given) => {
      await wait(TO_WRITE_MS);
      return Reflect.apply(terminate, self, given);
    },
  });
}

/** A worker thread is ended without being told, so it writes whenever it has nothing to do. The pool has it wait for jobs by this function. */
function keepWhereItWaits(): void {
  Atomics.wait = new Proxy(Atomics.wait, {
    apply: (wait, self, given) => {
      keepCode();
      return Reflect.apply(wait, self, given);
    },
  });
}
