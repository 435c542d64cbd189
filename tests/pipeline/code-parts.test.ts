import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { Script } from 'node:vm';
import { afterAll, describe, expect, it } from 'vitest';
import { keptCodeFile, openPart, openParts } from '../../pipeline/code-parts.ts';
import { packageFolder } from '../../pipeline/resources.ts';

const scratch = mkdtempSync(join(tmpdir(), 'decaybook-code-'));
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

const TEXT = '(function (module) {\nmodule.exports = { answer: () => 6 * 7 };\n})';
let written = 0;

/** A part in a file of its own, with the code that is kept beside it. */
function part(kept?: Buffer): string {
  const file = join(scratch, `part-${written++}.cjs`);
  writeFileSync(file, TEXT);
  if (kept) writeFileSync(keptCodeFile(file), kept);
  return file;
}

const open = (file: string) => openPart(pathToFileURL(file).href) as { answer: () => number };
const scriptOf = (file: string) => openParts().find((one) => one.file === file)!.script;

describe('openPart', () => {
  it('runs a part once in a thread', () => {
    const file = part();
    expect(open(file)).toBe(open(file));
    expect(open(file).answer()).toBe(42);
  });

  it('takes the code that was kept, and runs without what is cut short or of another engine', () => {
    const first = part();
    open(first).answer();
    const kept = scriptOf(first).createCachedData();
    const good = part(kept);
    expect([open(good).answer(), scriptOf(good).cachedDataRejected]).toEqual([42, false]);
    const foreign = Buffer.from(kept);
    foreign.fill(7, 0, 16);
    for (const bad of [kept.subarray(0, kept.length / 2), foreign, Buffer.alloc(0), Buffer.from('no code')]) {
      const file = part(bad);
      expect([open(file).answer(), scriptOf(file).cachedDataRejected ?? true]).toEqual([42, true]);
    }
  });
});

describe('the build', () => {
  const parts = join(packageFolder(), 'dist', 'parts');

  it('keeps code that the program takes: made by this engine, with the settings it runs with', () => {
    const names = readdirSync(parts).filter((name) => /\.(main|worker)$/.test(name));
    expect(names.filter((name) => name.endsWith('.main')).length).toBeGreaterThan(20);
    const code = `
      import { readFileSync } from 'node:fs';
      import { Script } from 'node:vm';
      const { setForShortRun } = await import(process.argv[1]);
      setForShortRun();
      for (const name of process.argv.slice(2)) {
        const source = readFileSync(name.replace(/\\.\\w+$/, ''), 'latin1');
        const { cachedDataRejected } = new Script(source, { cachedData: readFileSync(name) });
        console.log(cachedDataRejected);
      }`;
    const settings = pathToFileURL(join(packageFolder(), 'dist', 'pipeline', 'short-run.js')).href;
    const told = execFileSync(
      process.execPath,
      ['--input-type=module', '-e', code, settings, ...names.map((name) => join(parts, name))],
      { encoding: 'utf8' },
    );
    expect(told.trim().split('\n')).toEqual(names.map(() => 'false'));
  });

  it('keeps the functions that were run, not only the outermost', () => {
    const main = readFileSync(join(parts, 'main.cjs'), 'latin1');
    const outermost = new Script(main).createCachedData();
    expect(readFileSync(join(parts, 'main.cjs.main')).length).toBeGreaterThan(2 * outermost.length);
  });
});
