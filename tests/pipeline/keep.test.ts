import { cpSync, mkdtempSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { readFile, rm, symlink, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import cacache from 'cacache';
import { afterAll, beforeEach, describe, expect, it } from 'vitest';
import { explained, isKept, keep, keyText, put, type StepInputs } from '../../pipeline/keep.ts';
import { reasonToMake } from '../../pipeline/reason-to-make.ts';
import { trimKept } from '../../pipeline/trim-kept.ts';

const scratch = mkdtempSync(join(tmpdir(), 'decaybook-keep-'));
const step = (inputs: Record<string, unknown>, version = 1): StepInputs => {
  return { step: 'try', version, inputs, subject: 'one' };
};

let folder = '';
let count = 0;
beforeEach(() => {
  folder = join(scratch, String(++count));
});
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

describe('keep(folder, inputs, make)', () => {
  it('makes a thing once, and again when an input or the version is another', async () => {
    let made = 0;
    const make = async () => ++made;
    expect(await keep(folder, step({ a: 1 }), make)).toEqual({ value: 1, ran: true });
    expect(await keep(folder, step({ a: 1 }), make)).toEqual({ value: 1, ran: false });
    expect(await keep(folder, step({ a: 2 }), make)).toEqual({ value: 2, ran: true });
    expect(await keep(folder, step({ a: 1 }, 2), make)).toEqual({ value: 3, ran: true });
    expect(await keep(folder, step({ a: 1 }), make)).toEqual({ value: 1, ran: false });
  });

  it('gives what it made as it will give it from then on', async () => {
    const { value } = await keep(folder, step({}), async () => ({ left_out: undefined, none: null }));
    expect(Object.keys(value)).toEqual(['none']);
  });

  it('makes anew what is whole but no result of ours', async () => {
    await put(folder, step({ a: 1 }), 'no JSON');
    expect(await keep(folder, step({ a: 1 }), async () => 'made')).toEqual({ value: 'made', ran: true });
  });

  it('trusts what was kept only where it was made: a copy may come from anybody', async () => {
    const make = async () => 'made';
    await keep(folder, step({ a: 1 }), make);
    const copy = `${folder}-copy`;
    cpSync(folder, copy, { recursive: true, preserveTimestamps: true });
    const { value, events } = await explained(() => keep(copy, step({ a: 1 }), make));
    expect(value.ran).toBe(true);
    expect(events[0]!.reason).toBe('what is kept of it was made in another folder');
    expect((await keep(copy, step({ a: 1 }), make)).ran).toBe(false);
    renameSync(folder, `${folder}-moved`);
    expect((await keep(`${folder}-moved`, step({ a: 1 }), make)).ran).toBe(false);
  });

  it('makes without keeping where the folder cannot be written', async () => {
    writeFileSync(folder, 'a file is in the way');
    expect(await keep(folder, step({ a: 1 }), async () => 'made')).toEqual({ value: 'made', ran: true });
  });

  it('tells why it made a thing', async () => {
    const make = async () => 1;
    const reasonOf = async (inputs: StepInputs) =>
      (await explained(() => keep(folder, inputs, make))).events[0]!.reason;
    expect(await reasonOf(step({ a: 1 }))).toBe('not made before');
    expect(await reasonOf(step({ a: 1 }))).toBe(null);
    expect(await reasonOf(step({ a: 2, b: 1 }))).toBe('changed: a, b');
    expect(await reasonOf(step({ a: 2, b: 1 }, 2))).toBe('this version of the tool makes it otherwise');
    rmSync(join(folder, 'content-v2'), { recursive: true });
    expect(await reasonOf(step({ a: 2, b: 1 }, 2))).toBe('what was kept of it is gone or damaged');
  });
});

describe('keyText(inputs)', () => {
  it('does not depend on the order of the inputs', () => {
    expect(keyText(step({ b: 1, a: 2 }))).toBe(keyText(step({ a: 2, b: 1 })));
  });

  it('leaves out what the thing is called', () => {
    expect(keyText({ ...step({ a: 1 }), subject: 'other' })).toBe(keyText(step({ a: 1 })));
  });
});

describe('reasonToMake(key, last)', () => {
  const key = (inputs: unknown, code = 'x') => JSON.stringify({ step: 's', version: 1, code, inputs });

  it('names what is different by its place, three at the most', () => {
    const before = key({ room: { length: 1, width: 2, height: 3, depth: 4 }, same: [1] });
    const now = key({ room: { length: 2, width: 3, height: 4, depth: 5 }, same: [1] });
    expect(reasonToMake(now, before)).toBe('changed: room.depth, room.height, room.length and 1 more');
  });

  it('knows another build of the tool', () => {
    expect(reasonToMake(key({ a: 1 }, 'y'), key({ a: 1 }, 'x'))).toBe('the code of the tool has changed');
  });
});

describe('trimKept(folder, options)', () => {
  it('removes what was used longest ago, and leaves a folder within its size alone', async () => {
    const text = (letter: string) => letter.repeat(1000);
    for (const letter of ['a', 'b', 'c', 'd']) {
      await put(folder, { step: 'try', version: 1, inputs: { letter } }, JSON.stringify(text(letter)));
      await new Promise((resolve) => setTimeout(resolve, 15));
    }
    const at = (letter: string): StepInputs => ({ step: 'try', version: 1, inputs: { letter } });
    await keep(folder, at('a'), async () => 'not this');
    await trimKept(folder, { most_bytes: 5000 });
    expect(await Promise.all(['a', 'b', 'c', 'd'].map((letter) => isKept(folder, at(letter))))).not.toContain(false);
    await trimKept(folder, { most_bytes: 3000 });
    expect(await isKept(folder, at('a'))).toBe(true);
    expect(await isKept(folder, at('b'))).toBe(false);
    expect((await keep(folder, at('a'), async () => 'not this')).value).toBe(text('a'));
  });

  it('knows the size of a folder that was made anew, and keeps things in it as in the first', async () => {
    const at = (name: string): StepInputs => ({ step: 'size', version: 1, inputs: { name } });
    await put(folder, at('one'), 'x'.repeat(700));
    await rm(folder, { recursive: true });
    await put(folder, at('two'), 'y'.repeat(500));
    expect(await isKept(folder, at('one'))).toBe(false);
    expect(await isKept(folder, at('two'))).toBe(true);
    await trimKept(folder);
    expect(await readFile(join(folder, 'size', 'bytes'), 'utf8')).toBe('500');
  });

  it('knows the size without a look at every entry, and looks again where the note is gone, or is no number', async () => {
    const note = join(folder, 'size', 'bytes');
    const at = (name: string): StepInputs => ({ step: 'size', version: 1, inputs: { name } });
    await put(folder, at('one'), 'x'.repeat(700));
    await trimKept(folder);
    const before = Number(await readFile(note, 'utf8'));
    expect(before).toBe(await bytesOfEntries());
    await put(folder, at('two'), 'y'.repeat(500));
    // Gone as soon as something is put: a run that ends here leaves no note that lies.
    await expect(readFile(note)).rejects.toThrow('ENOENT');
    await trimKept(folder);
    expect(await readFile(note, 'utf8')).toBe(String(before + 500));
    for (const lie of ['much', '']) {
      await writeFile(note, lie);
      await trimKept(folder);
      expect(await readFile(note, 'utf8')).toBe(String(await bytesOfEntries()));
    }
  });

  it('neither reads nor writes through a link in place of the note', async () => {
    const [note, other] = [join(folder, 'size', 'bytes'), join(folder, 'size', 'other')];
    await put(folder, { step: 'size', version: 1, inputs: { name: 'linked' } }, 'z');
    await trimKept(folder);
    await writeFile(other, '5');
    await rm(note);
    await symlink(other, note);
    await trimKept(folder);
    expect(await readFile(other, 'utf8')).toBe('5');
    // What is there, measured, and not what the link leads to.
    expect(await readFile(note, 'utf8')).toBe('1');
  });

  async function bytesOfEntries(): Promise<number> {
    return Object.values(await cacache.ls(folder)).reduce((sum, { size = 0 }) => sum + size, 0);
  }
});
