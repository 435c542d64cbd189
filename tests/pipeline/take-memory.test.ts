import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { type Heard, hearTake } from '../../pipeline/hear-take.ts';
import { openPool } from '../../pipeline/pool.ts';
import { TakeMemory } from '../../pipeline/take-memory.ts';
import { clapsWav } from './synthetic-take.ts';

const folder = mkdtempSync(join(tmpdir(), 'decaybook-memory-'));
afterAll(() => rmSync(folder, { recursive: true }));

const RATE_HZ = 48_000;
const SETTINGS = { channel: 1, source: null, sweep: { sweep: null } } as const;
const take = (file: string) => ({ file, stage: 'bare', position: 'A', kind: null, channel: null, sha256: file });
const values = (from: number, count: number) => Float64Array.from({ length: count }, (_, i) => from + i);

describe('TakeMemory', () => {
  it('hands out the same memory for the next file, of its length, unless it is very much', () => {
    const memory = new TakeMemory();
    const first = memory.file(1000);
    expect(first.length).toBe(1000);
    expect(memory.file(900).buffer).toBe(first.buffer);
    expect(memory.file(900).length).toBe(900);
    expect(memory.file(2 ** 23 + 1).buffer).not.toBe(memory.file(2 ** 23 + 1).buffer);
  });

  it('hands out room piece by piece, each with its own values, in memory that threads share', () => {
    const memory = new TakeMemory();
    const room = memory.room(705);
    const pieces = [5, 0, 700].map((size) => room.take(size));
    pieces.forEach((piece, i) => {
      piece.fill(i + 1);
    });
    expect(pieces.map(({ length }) => length)).toEqual([5, 0, 700]);
    expect(pieces.map((piece) => new Set(piece))).toEqual([new Set([1]), new Set(), new Set([3])]);
    expect(pieces.every((piece) => piece.buffer instanceof SharedArrayBuffer)).toBe(true);
    expect(memory.room(3).take(3).buffer).toBe(pieces[0]!.buffer);
  });

  it('ends where its memory ends: of very much there is no more than was asked for', () => {
    const room = new TakeMemory().room(2 ** 20 + 1);
    room.take(2 ** 20);
    expect(() => room.take(2)).toThrow(RangeError);
  });

  it('keeps nothing of what is very much, and grows for what is more', () => {
    const memory = new TakeMemory();
    const small = memory.room(10).take(10);
    const large = memory.room(2 ** 20 + 1).take(2 ** 20 + 1);
    expect(large.length).toBe(2 ** 20 + 1);
    expect(memory.room(10).take(10).buffer).toBe(small.buffer);
    const more = memory.room(5000).take(5000);
    more.set(values(0, 5000));
    expect([...more]).toEqual([...values(0, 5000)]);
  });
});

describe('hearTake(folder, take, options)', () => {
  writeFileSync(join(folder, 'one.wav'), clapsWav({ claps: 2, seed: 1 }));
  writeFileSync(join(folder, 'other.wav'), clapsWav({ claps: 3, seed: 2 }));

  const heardOf = (one: Heard) => {
    if (!('heard' in one)) throw new Error('was set aside');
    return one.heard;
  };

  it('leaves a take as it was heard while the next one is heard in other memory', async () => {
    const alone = heardOf(await hearTake(folder, take('one.wav'), { settings: SETTINGS, memory: new TakeMemory() }));
    const before = alone.found.responses.map(({ samples }) => [...samples]);
    expect(before.length).toBe(2);
    expect(before.every((samples) => samples.length > 0)).toBe(true);
    await hearTake(folder, take('other.wav'), { settings: SETTINGS, memory: new TakeMemory() });
    expect(alone.found.responses.map(({ samples }) => [...samples])).toEqual(before);
  });

  it('hears the same in memory that another take was heard in', async () => {
    const memory = new TakeMemory();
    const fresh = heardOf(await hearTake(folder, take('one.wav'), { settings: SETTINGS, memory: new TakeMemory() }));
    await hearTake(folder, take('other.wav'), { settings: SETTINGS, memory });
    const used = heardOf(await hearTake(folder, take('one.wav'), { settings: SETTINGS, memory }));
    expect(used).toEqual(fresh);
  });

  it('copies whole what is measured whole, and of a clap nothing but its responses', async () => {
    const background = { ...take('one.wav'), kind: 'background' as const };
    const whole = heardOf(await hearTake(folder, background, { settings: SETTINGS, memory: new TakeMemory() }));
    expect(whole.samples.length).toBe(5 * RATE_HZ);
    const claps = heardOf(await hearTake(folder, take('one.wav'), { settings: SETTINGS, memory: new TakeMemory() }));
    expect(claps.samples.length).toBe(0);
  });

  it('sets aside what cannot be read, with the reason', async () => {
    const one = await hearTake(folder, take('nothing.wav'), { settings: SETTINGS, memory: new TakeMemory() });
    expect('setAside' in one && one.setAside.result.faults.map(({ code }) => code)).toEqual(['unreadable']);
  });
});

describe('withTake(folder, take, work)', () => {
  it('lends each memory to one take at a time, and gets it back from one that failed', async () => {
    const pool = openPool({ jobs: 1 });
    const lent = new Set<TakeMemory>();
    const all = new Set<TakeMemory>();
    let most = 0;
    const work = async (memory: TakeMemory, i: number) => {
      expect(lent.has(memory)).toBe(false);
      lent.add(memory);
      all.add(memory);
      most = Math.max(most, lent.size);
      await new Promise((resolve) => setTimeout(resolve, 1));
      lent.delete(memory);
      if (i % 3 === 0) throw new Error('failed');
      return i;
    };
    const done = await Promise.allSettled(
      Array.from({ length: 12 }, (_, i) => pool.withTake(folder, take('one.wav'), (memory) => work(memory, i))),
    );
    expect(done.map(({ status }) => status === 'fulfilled')).toEqual(Array.from({ length: 12 }, (_, i) => i % 3 !== 0));
    expect(most).toBe(2);
    expect(all.size).toBe(2);
    await pool.close();
  });
});
