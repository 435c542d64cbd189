import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { fileURLToPath } from 'node:url';
import { Script } from 'node:vm';
import { isMainThread } from 'node:worker_threads';

// The built program is a few parts, each a function in a file. Where the build kept what the engine makes of a part, its functions need not be
// parsed and compiled again, which is a tenth of the work of a first report.

/** What a part gives to others, by name. */
type Exports = Record<string, unknown>;
/** A part as it stands in its file, under the very names that `part-text.ts` writes: puts what it gives into `module.exports`, and gets others by their names. */
type Body = (
  module: { exports: Exports },
  require: (name: string) => unknown,
  later: (name: string) => Promise<unknown>,
  partUrl: string,
) => void;

interface OpenPart {
  module: { exports: Exports };
  script: Script;
  file: string;
}

const open = new Map<string, OpenPart>();

/**
 * Runs a part of the built program, unless this thread did before, and returns what it gives.
 *
 * @param url address of the file, one that the build wrote
 */
export function openPart(url: string): Exports {
  const known = open.get(url);
  if (known) return known.module.exports;
  const file = fileURLToPath(url);
  const script = new Script(readFileSync(file, 'latin1'), { filename: file, cachedData: keptCode(file) });
  const part: OpenPart = { module: { exports: {} }, script, file };
  const node = createRequire(url);
  const beside = (name: string) => (name.startsWith('.') ? new URL(name, url).href : null);
  const body = script.runInThisContext() as Body;
  body(
    part.module,
    (name) => {
      const address = beside(name);
      return address ? openPart(address) : node(name);
    },
    async (name) => {
      const address = beside(name);
      return address ? openPart(address) : import(name);
    },
    url,
  );
  // No two parts ask for each other: what several need, the bundler puts into one of its own.
  open.set(url, part);
  return part.module.exports;
}

/** The parts that this thread has run. */
export function openParts(): readonly { script: Script; file: string }[] {
  return [...open.values()];
}

/** Where the code of a part is kept: threads that measure and draw need other functions than the one that listens and writes. */
export function keptCodeFile(file: string): string {
  return `${file}.${isMainThread ? 'main' : 'worker'}`;
}

/** What the engine made of a part before. It takes nothing that another version of it has made, or that is cut short. */
function keptCode(file: string): Buffer | undefined {
  try {
    return readFileSync(keptCodeFile(file));
  } catch {
    return undefined;
  }
}
