import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { setFlagsFromString } from 'node:v8';
import { isMainThread } from 'node:worker_threads';
import type * as codeParts from './code-parts.ts';
import { packageFolder } from './resources.ts';

// Loaded before the built program, in each of its threads, while the build rehearses it: what the engine made of the functions that ran is
// written beside their parts.

// The very copy that the program uses: it knows which parts are open.
const address = pathToFileURL(join(packageFolder(), 'dist', 'pipeline', 'code-parts.js')).href;
const { keptCodeFile, openParts } = (await import(address)) as typeof codeParts;

function keepCode(): void {
  // Code that was made under other flags is not taken.
  setFlagsFromString('--flush-bytecode');
  for (const { file, script } of openParts()) writeFileSync(keptCodeFile(file), script.createCachedData());
  setFlagsFromString('--no-flush-bytecode');
}

// Else functions that ran only once, at the start, would be gone at the end.
setFlagsFromString('--no-flush-bytecode');
if (isMainThread) process.on('exit', keepCode);
else keepWhereItWaits();

/** A worker thread is ended without being told, so it writes whenever it has nothing to do. The pool has it wait for jobs by this function. */
function keepWhereItWaits(): void {
  Atomics.wait = new Proxy(Atomics.wait, {
    apply: (wait, self, given) => {
      keepCode();
      return Reflect.apply(wait, self, given);
    },
  });
}
