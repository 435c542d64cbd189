import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { signal } from '../../pipeline/signal.ts';
import { readSweep } from '../../pipeline/sweep-file.ts';
import { decodeWav } from '../../src/audio/decode-wav.ts';
import { findSweep } from '../../src/signal/find-sweep.ts';
import { DEFAULT_SWEEP } from '../../src/signal/sweep.ts';

const SMALL = { duration_s: 2, tail_s: 0.5, repeats: 2, f2_hz: 7000, f1_hz: 60, rate_hz: 16_000 };
let folder = '';
let said = { out: '', err: '' };

beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'sweep-'));
  said = { out: '', err: '' };
  vi.spyOn(process.stdout, 'write').mockImplementation((text) => {
    said.out += String(text);
    return true;
  });
  vi.spyOn(process.stderr, 'write').mockImplementation((text) => {
    said.err += String(text);
    return true;
  });
});

afterEach(async () => {
  vi.restoreAllMocks();
  await rm(folder, { recursive: true });
});

describe('signal(folder, options)', () => {
  it('writes a 24 bit sweep at the stated level and the description by which it is found again', async () => {
    expect(await signal(folder, SMALL)).toBe(0);
    expect((await readdir(folder)).sort()).toEqual(['sweep.json', 'sweep.wav']);
    const decoded = decodeWav(await readFile(join(folder, 'sweep.wav')));
    if (!decoded.ok) throw new Error(decoded.message);
    const { channels, rate_hz, bits } = decoded.sound;
    expect([rate_hz, bits, channels.length, channels[0]!.length]).toEqual([16_000, 24, 1, (2 + 2 * 2.5) * 16_000]);
    const peak = channels[0]!.reduce((most, x) => Math.max(most, Math.abs(x)), 0);
    expect(Math.abs(20 * Math.log10(peak) - DEFAULT_SWEEP.level_dbfs)).toBeLessThan(0.01);
    const read = await readSweep(folder);
    const description = 'sweep' in read ? read.sweep! : DEFAULT_SWEEP;
    const found = findSweep(channels[0]!, { rate_hz, description });
    expect(found.responses.map(({ onset_s }) => Math.round(onset_s * 100) / 100)).toEqual([2, 4.5]);
    expect(said.out).toContain('60 Hz to 7000 Hz in 2 s, 2 times');
    expect(said.out).toContain('peak -12 dB');
  });

  it('writes the same bytes again, and leaves a sweep of another description alone', async () => {
    await signal(folder, SMALL);
    const before = await readFile(join(folder, 'sweep.wav'));
    expect(await signal(folder, SMALL)).toBe(0);
    expect((await readFile(join(folder, 'sweep.wav'))).equals(before)).toBe(true);
    expect(await signal(folder, { ...SMALL, duration_s: 3 })).toBe(1);
    expect(said.err).toContain('holds another sweep');
    expect((await readFile(join(folder, 'sweep.wav'))).equals(before)).toBe(true);
  });

  it('takes a sweep that cannot be for a wrong command line', async () => {
    expect(await signal(folder, { f1_hz: 20_000 })).toBe(2);
    expect(said.err).toBe(
      'decaybook: no such sweep (f2_hz must lie more than an octave above f1_hz): choose other values\n',
    );
    expect(await readdir(folder)).toEqual([]);
  });

  it('says why it cannot write', async () => {
    expect(await signal(join(folder, 'nowhere'), SMALL)).toBe(1);
    expect(said.err).toMatch(/sweep\.json cannot be written: it is not there: mend that and run the command again\n$/);
  });
});

describe('readSweep(folder)', () => {
  it('has none where there is none, and a diagnostic where the file is something else', async () => {
    expect(await readSweep(folder)).toEqual({ sweep: null });
    await writeFile(join(folder, 'sweep.json'), '{"format": "decaybook-sweep/1"}');
    expect(await readSweep(folder)).toMatchObject({ fault: { file: 'sweep.json', severity: 'error' } });
    await writeFile(join(folder, 'sweep.json'), 'not json');
    expect(await readSweep(folder)).toMatchObject({
      fault: { message: expect.stringContaining('does not describe a sweep') },
    });
  });
});
