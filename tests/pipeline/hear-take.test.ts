import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { hearTake } from '../../pipeline/hear-take.ts';
import type { FoundTake } from '../../pipeline/read.ts';
import { readHeard } from '../../pipeline/read-heard.ts';
import { TakeMemory } from '../../pipeline/take-memory.ts';
import { encodeWav } from '../../src/audio/encode-wav.ts';
import { eventScene } from '../bench/event-scene.ts';

const folder = mkdtempSync(join(tmpdir(), 'decaybook-hear-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

test('a take is read the same, whoever reads the beginning of its responses', async () => {
  const scene = eventScene('another sound', { clutter: false, source: 'balloon' });
  writeFileSync(join(folder, 'take.wav'), encodeWav(scene.samples, scene.rate_hz, 24));
  const place = { stage: 'bare', position: 'A', channel: null };
  const take = { file: 'take.wav', sha256: null, kind: null, level_db: undefined, ...place } as unknown as FoundTake;
  const settings = { channel: 1, source: 'balloon', sweep: { sweep: null } } as const;
  const heard = async (early: boolean) => {
    const one = await hearTake(folder, take, { settings, memory: new TakeMemory(), early });
    if ('setAside' in one) throw new Error('set aside');
    return one.heard;
  };
  const [beforehand, left] = [await heard(true), await heard(false)];
  expect(left.early).toBe(null);
  expect(beforehand.early?.filter((one) => one !== null)).toHaveLength(scene.claps.length);
  const read = readHeard(left, ['octave']);
  expect(read.traces[0]!.early.level_db.length).toBeGreaterThan(100);
  expect(readHeard(beforehand, ['octave'])).toEqual(read);
  // What was read beforehand is what counts.
  const first = { early: { step_s: 1, level_db: [-1] }, reflections: [] };
  const another = readHeard({ ...beforehand, early: [first, ...beforehand.early!.slice(1)] }, ['octave']);
  expect(another.traces[0]!.early).toEqual(first.early);
});
