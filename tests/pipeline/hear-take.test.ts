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

test('a take is read the same, whatever was worked out of its responses beforehand', async () => {
  const scene = eventScene('another sound', { clutter: false, source: 'balloon' });
  writeFileSync(join(folder, 'take.wav'), encodeWav(scene.samples, scene.rate_hz, 24));
  const place = { stage: 'bare', position: 'A', channel: null };
  const take = { file: 'take.wav', sha256: null, kind: null, level_db: undefined, ...place } as unknown as FoundTake;
  const settings = { channel: 1, source: 'balloon', sweep: { sweep: null } } as const;
  const widths = ['octave', 'third-octave'] as const;
  const heard = async (beforehand: typeof widths | null) => {
    const one = await hearTake(folder, take, { settings, memory: new TakeMemory(), beforehand });
    if ('setAside' in one) throw new Error('set aside');
    return one.heard;
  };
  const [worked, left] = [await heard(widths), await heard(null)];
  expect(left.beforehand).toBe(null);
  const [first, ...others] = worked.beforehand!;
  expect([first, ...others].filter((one) => one !== null)).toHaveLength(scene.claps.length);
  const read = readHeard(left, widths);
  expect(read.traces[0]!.early.level_db.length).toBeGreaterThan(100);
  expect(readHeard(worked, widths)).toEqual(read);
  // What was worked out beforehand is what counts.
  const early = { early: { step_s: 1, level_db: [-1] }, reflections: [] };
  const another = readHeard({ ...worked, beforehand: [{ ...first!, early }, ...others] }, widths);
  expect(another.traces[0]!.early).toEqual(early.early);
  const halved = first!.halved.map((rate) => ({ ...rate, samples: rate.samples.map((sample) => sample / 2) }));
  const softer = readHeard({ ...worked, beforehand: [{ ...first!, halved }, ...others] }, ['octave']);
  const level = (taken: typeof read, i: number) => taken.result.responses[0]!.bands[i]!.late_level_db;
  expect(first!.halved.length).toBeGreaterThan(4);
  // The top octave is filtered at the full rate.
  expect(level(softer, 7)).toBe(level(read, 7));
  expect(level(softer, 4)).toBeCloseTo(level(read, 4)! - 20 * Math.log10(2), 6);
});
