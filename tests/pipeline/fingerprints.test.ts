import { mkdtempSync, realpathSync, rmSync } from 'node:fs';
import { appendFile, chmod, copyFile, cp, mkdir, rename, stat, symlink, utimes, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { checkFolder } from '../../pipeline/check.ts';
import { openFingerprints } from '../../pipeline/fingerprints.ts';
import { holdWrites } from '../../pipeline/held-writes.ts';
import { explained, keepFolder, look, put, type StepInputs } from '../../pipeline/keep.ts';
import { SILENT } from '../../pipeline/progress.ts';
import { reportFolder } from '../../pipeline/report.ts';
import { writeSmallProject, writeSmallTake } from './small-project.ts';

// FIPS 180-4: SHA-256 of "abc", the first example that NIST publishes for it.
const OF_ABC = 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad';
// SHA-256 of "abd", by sha256sum of GNU coreutils 9.1.
const OF_ABD = 'a52d159f262b2c6ddb724a61840befc36eb30c88877a4030b65cbe86298449c9';
// And of "abcd", by the same.
const OF_ABCD = '88d4266fd4e6338d13b845fcf289579d209c897823b9217da3e161936f031589';
/** What no file has: whoever gives it did not read the file. */
const BELIEVED = 'f'.repeat(64);

const STEP: StepInputs = { step: 'fingerprints', version: 1, inputs: {} };
const scratch = realpathSync(mkdtempSync(join(tmpdir(), 'decaybook-fingerprints-')));
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

let root = '';
let count = 0;
beforeEach(async () => {
  root = join(scratch, String(++count));
  await mkdir(root);
  await writeFile(join(root, 'a.wav'), 'abc');
});
afterEach(() => vi.useRealTimers());

const later = (ms: number) => vi.useFakeTimers({ toFake: ['Date'], now: Date.now() + ms });
const fingerprint = () => openFingerprints(root).of('a.wav');
const keptText = async () => (await look(keepFolder(root), STEP))?.toString() ?? null;

async function keepIt(): Promise<void> {
  const fingerprints = openFingerprints(root);
  await fingerprints.of('a.wav');
  await fingerprints.keep();
}

/** Keeps a fingerprint that is not the file's own, so that it shows whether the file is read. */
async function keepAnother(): Promise<void> {
  later(60_000);
  await keepIt();
  const text = await keptText();
  expect(text).toContain(OF_ABC);
  await put(keepFolder(root), STEP, text!.replace(OF_ABC, BELIEVED));
  expect(await fingerprint()).toBe(BELIEVED);
  vi.useRealTimers();
}

describe('openFingerprints(folder)', () => {
  it('gives SHA-256, and null for what cannot be read', async () => {
    const fingerprints = openFingerprints(root);
    expect(await fingerprints.of('a.wav')).toBe(OF_ABC);
    expect(await fingerprints.of('none.wav')).toBe(null);
  });

  it('reads no file again that is as it was, wherever the project was moved', async () => {
    await keepAnother();
    await rename(root, `${root}-moved`);
    root = `${root}-moved`;
    expect(await fingerprint()).toBe(BELIEVED);
  });

  const path = () => join(root, 'a.wav');
  const changes: [string, () => Promise<void>, string][] = [
    ['one that grew', () => appendFile(path(), 'd'), OF_ABCD],
    [
      'one written over at the same length, with its time of writing put back',
      async () => {
        const { atime, mtime } = await stat(path());
        await writeFile(path(), 'abd');
        await utimes(path(), atime, mtime);
      },
      OF_ABD,
    ],
    [
      'another that took its name, as long and of the same time',
      async () => {
        const { atime, mtime } = await stat(path());
        await writeFile(join(root, 'other'), 'abd');
        await utimes(join(root, 'other'), atime, mtime);
        await rename(join(root, 'other'), path());
      },
      OF_ABD,
    ],
    ['one that was only touched', () => utimes(path(), new Date(), new Date()), OF_ABC],
    ['one whose rights changed', () => chmod(path(), 0o600), OF_ABC],
  ];
  it.each(changes)('reads %s', async (_, change, expected) => {
    await keepAnother();
    await change();
    expect(await fingerprint()).toBe(expected);
  });

  it('keeps none of a file that changed so lately that it may change again within the same tick', async () => {
    await keepIt();
    expect(await keptText()).toBe(null);
    later(1000);
    await keepIt();
    expect(await keptText()).toBe(null);
    later(60_000);
    await keepIt();
    expect(await keptText()).toContain(OF_ABC);
  });

  it('keeps none of a file that the clock says is from the future', async () => {
    later(-3_600_000);
    await keepIt();
    expect(await keptText()).toBe(null);
  });

  it('believes nothing that came with a copy of the folder, and nothing that is none of ours', async () => {
    await keepAnother();
    await cp(root, `${root}-copy`, { recursive: true, preserveTimestamps: true });
    const text = await keptText();
    root = `${root}-copy`;
    expect(await fingerprint()).toBe(OF_ABC);
    // Not even where its text is known: the file has another number on the disk.
    await put(keepFolder(root), STEP, text!);
    expect(await fingerprint()).toBe(OF_ABC);
    await put(keepFolder(root), STEP, 'no JSON');
    expect(await fingerprint()).toBe(OF_ABC);
  });

  it('forgets files that are gone, once there is something to keep', async () => {
    await copyFile(join(root, 'a.wav'), join(root, 'b.wav'));
    later(60_000);
    const both = openFingerprints(root);
    await Promise.all([both.of('a.wav'), both.of('b.wav')]);
    await both.keep();
    expect(await keptText()).toMatch(/a\.wav.*b\.wav/);
    rmSync(join(root, 'a.wav'));
    await chmod(join(root, 'b.wav'), 0o600);
    later(120_000);
    const one = openFingerprints(root);
    await one.of('b.wav');
    await one.keep();
    expect(await keptText()).not.toContain('a.wav');
  });

  it('are kept by the name that everything else of the project is kept by, whatever the folder was called', async () => {
    const link = `${root}-link`;
    await symlink(root, link);
    const held = holdWrites(keepFolder(root));
    later(60_000);
    const fingerprints = openFingerprints(link);
    expect(await fingerprints.of('a.wav')).toBe(OF_ABC);
    await fingerprints.keep();
    expect(await keptText()).toBe(null);
    await held.settled();
    expect(await keptText()).toContain(OF_ABC);
  });

  it('is what check and report go by, and both keep it', async () => {
    const takes = ['recordings/bare/A/01.wav', 'recordings/treated/A/01.wav'];
    writeSmallProject(root);
    later(60_000);
    await checkFolder(root);
    expect(Object.keys(JSON.parse((await keptText())!))).toEqual(takes);
    writeSmallTake(root, takes[0]!, 3);
    const before = await keptText();
    later(120_000);
    await reportFolder(root, { pdf: false, progress: SILENT });
    expect(await keptText()).not.toBe(before);
    expect(Object.keys(JSON.parse((await keptText())!))).toEqual(takes);
    const { events } = await explained(() => reportFolder(root, { pdf: false, progress: SILENT }));
    expect(events).toEqual([expect.objectContaining({ step: 'report', ran: false })]);
    const reported = await keptText();
    await utimes(join(root, takes[1]!), new Date(), new Date());
    later(180_000);
    expect((await reportFolder(root, { pdf: false, progress: SILENT })).unchanged).toBe(true);
    expect(await keptText()).not.toBe(reported);
  });
});
