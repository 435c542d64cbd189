import { mkdirSync, mkdtempSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { afterAll, beforeEach, describe, expect, it } from 'vitest';
import { keepFolder, put } from '../../pipeline/keep.ts';
import { likelyWork } from '../../pipeline/likely-work.ts';

const scratch = mkdtempSync(join(tmpdir(), 'decaybook-likely-'));
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

/** File systems tell times apart that are so far apart. */
const A_MOMENT_MS = 20;

let folder = '';
let count = 0;
const at = (...path: string[]) => join(folder, ...path);
beforeEach(() => {
  folder = join(scratch, String(++count));
  mkdirSync(at('recordings', 'bare', 'A'), { recursive: true });
  writeFileSync(at('project.yaml'), 'decaybook: 1\n');
  writeFileSync(at('recordings', 'bare', 'A', '1.wav'), 'one');
});

/** As a run leaves it, with a little time gone by since. */
async function reported() {
  await put(keepFolder(folder), { step: 'try', version: 1, inputs: {} }, 'kept');
  await wait(A_MOMENT_MS);
  mkdirSync(at('report'), { recursive: true });
  writeFileSync(at('report', 'results.json'), '{}');
  await wait(A_MOMENT_MS);
}

describe('likelyWork(folder)', () => {
  it('expects all to be made where nothing is kept, and where there is no such folder', async () => {
    expect(await likelyWork(folder)).toEqual({ all: true, newer: 0, changed: true });
    expect(await likelyWork(at('nowhere'))).toMatchObject({ all: true });
  });

  it('expects nothing where nothing has happened since the last report', async () => {
    await reported();
    expect(await likelyWork(folder)).toEqual({ all: false, newer: 0, changed: false });
  });

  it('counts what came since: written, or moved there with its old time', async () => {
    writeFileSync(at('aside.wav'), 'two');
    await reported();
    writeFileSync(at('recordings', 'bare', 'A', '3.wav'), 'three');
    renameSync(at('aside.wav'), at('recordings', 'bare', 'A', '2.wav'));
    expect(await likelyWork(folder)).toEqual({ all: false, newer: 2, changed: true });
  });

  it.each([
    ['the project file was edited', () => writeFileSync(at('project.yaml'), 'decaybook: 1\ntitle: Another\n')],
    ['a take was taken out', () => rmSync(at('recordings', 'bare', 'A', '1.wav'))],
    ['the report was thrown away', () => rmSync(at('report'), { recursive: true })],
  ])('expects a report, and no take, where %s', async (_, happen) => {
    writeFileSync(at('recordings', 'bare', 'A', '2.wav'), 'two');
    await reported();
    happen();
    expect(await likelyWork(folder)).toEqual({ all: false, newer: 0, changed: true });
  });

  it('does not mind what the tool itself writes', async () => {
    await reported();
    await put(keepFolder(folder), { step: 'try', version: 2, inputs: {} }, 'more');
    writeFileSync(at('report', 'report.html'), 'page');
    expect(await likelyWork(folder)).toMatchObject({ changed: false });
  });
});
