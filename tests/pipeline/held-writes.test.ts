import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeEach, describe, expect, it } from 'vitest';
import { heldBack, holdWrites } from '../../pipeline/held-writes.ts';
import { kept, put } from '../../pipeline/keep.ts';

const scratch = mkdtempSync(join(tmpdir(), 'decaybook-held-'));
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

let folder = '';
let count = 0;
beforeEach(() => {
  folder = join(scratch, String(++count));
});

const step = (a: number) => ({ step: 'try', version: 1, inputs: { a } });
const isThere = async (a: number) => (await kept(folder, step(a))) !== null;

describe('holdWrites(folder)', () => {
  it('holds what is put into that folder until it is settled, and nothing after that', async () => {
    const held = holdWrites(folder);
    await put(folder, step(1), 'one');
    expect(await isThere(1)).toBe(false);
    await held.settled();
    expect((await kept(folder, step(1)))?.toString()).toBe('one');
    await put(folder, step(2), 'two');
    expect(await isThere(2)).toBe(true);
  });

  it('holds nothing back for another folder', async () => {
    const held = holdWrites(join(scratch, 'another'));
    await put(folder, step(1), 'one');
    expect(await isThere(1)).toBe(true);
    await held.settled();
  });

  it('begins the writes when it is released, each once', async () => {
    const held = holdWrites(folder);
    const begun: number[] = [];
    for (let i = 0; i < 20; i++) heldBack(folder, async () => void begun.push(i), 1);
    expect(begun).toEqual([]);
    held.release();
    await held.settled();
    await held.settled();
    expect(begun).toHaveLength(20);
    expect(new Set(begun).size).toBe(20);
    expect(heldBack(folder, async () => undefined, 1)).toBe(false);
  });

  it('lets pass what would take too much memory', async () => {
    const held = holdWrites(folder);
    const written: string[] = [];
    const write = (name: string) => async () => void written.push(name);
    expect(heldBack(folder, write('most'), 15e6)).toBe(true);
    expect(heldBack(folder, write('too much'), 2e6)).toBe(false);
    expect(heldBack(folder, write('little'), 1e5)).toBe(true);
    await held.settled();
    expect(written).toEqual(['most', 'little']);
  });

  it('leaves a folder alone that another run of this process holds: the other writes it', async () => {
    const first = holdWrites(folder);
    const second = holdWrites(folder);
    await put(folder, step(1), 'one');
    await second.settled();
    expect(await isThere(1)).toBe(false);
    await put(folder, step(2), 'two');
    await first.settled();
    expect([await isThere(1), await isThere(2)]).toEqual([true, true]);
  });
});
