import { createHash } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { prepareListening } from '../../pipeline/listen.ts';
import * as normalise from '../../pipeline/normalise.ts';
import { decodeWav } from '../../src/audio/decode-wav.ts';
import { encodeWav } from '../../src/audio/encode-wav.ts';
import { faultMessage } from '../../src/audio/fault-messages.ts';
import type { ResponseResult, TakeResult } from '../../src/report/results.ts';
import type { BandReading } from '../../src/room/reading.ts';
import type { Change } from '../../src/statistics/finding.ts';

const RATE_HZ = 48_000;
const DECAY_S = 0.4;
const ONSETS_S = [0.5, 1.6, 2.4];

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'listen-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

/** A take with three decays, each of a tone of its own, so that it can be told which of them a clip holds. */
function take(file: string, stage: string, unused: number[]): TakeResult {
  const samples = new Float64Array(4 * RATE_HZ);
  ONSETS_S.forEach((onset_s, i) => {
    const zero = Math.round(onset_s * RATE_HZ);
    for (let n = 0; zero + n < samples.length; n++) {
      const t_s = n / RATE_HZ;
      samples[zero + n]! += 0.3 * Math.cos(2 * Math.PI * 1000 * (i + 1) * t_s) * 10 ** ((-3 * t_s) / DECAY_S);
    }
  });
  const wav = encodeWav(samples, RATE_HZ, 24);
  writeFileSync(join(folder, file), wav);
  const responses = ONSETS_S.map((onset_s, i): ResponseResult => {
    const used = !unused.includes(i);
    const fault = faultMessage('events-too-close', { kind: 'other-sound', after_s: 0.1 });
    const bands = used ? [{ width: 'octave', centre_hz: 1000, tfull_s: DECAY_S } as BandReading] : [];
    return { onset_s, used, faults: used ? [] : [fault], bands, reflections: [] };
  });
  const sha256 = createHash('sha256').update(wav).digest('hex');
  const format = { rate_hz: RATE_HZ, seconds: 4, channel: 1 };
  return { file, sha256, stage, position: 'p', kind: 'impulse', ...format, used: true, faults: [], responses };
}

const change = { from: 'bare', to: 'treated' } as Change;

/** Which of the three tones a clip holds most of, from 0. */
function toneOf(wav: Uint8Array): number {
  const decoded = decodeWav(wav);
  if (!decoded.ok) throw new Error('no WAV');
  const samples = decoded.sound.channels[0]!;
  const energies = ONSETS_S.map((_, i) => {
    const [re, im] = [Math.cos, Math.sin].map((wave) =>
      samples.reduce((sum, value, n) => sum + value * wave((2 * Math.PI * 1000 * (i + 1) * n) / RATE_HZ), 0),
    );
    return re! ** 2 + im! ** 2;
  });
  return energies.indexOf(Math.max(...energies));
}

test('a clip holds the first response that was used, not one that was set aside', async () => {
  const takes = [take('before.wav', 'bare', [0]), take('after.wav', 'treated', [])];
  const [pair] = await prepareListening(folder, { takes, changes: [change] });
  expect(pair!.entry.clips.map(({ onset_s }) => onset_s)).toEqual([ONSETS_S[1], ONSETS_S[0]]);
  expect(pair!.wavs.map(toneOf)).toEqual([1, 0]);
});

test('it lasts for the decay and ends before the next response', async () => {
  const takes = [take('before.wav', 'bare', []), take('after.wav', 'treated', [0])];
  const [pair] = await prepareListening(folder, { takes, changes: [change] });
  const seconds = pair!.wavs.map((wav) => {
    const decoded = decodeWav(wav);
    return decoded.ok ? decoded.sound.channels[0]!.length / RATE_HZ : 0;
  });
  // The lead is 20 ms; one and a half decays are 0.6 s, and the next response is 0.8 s away at the nearest.
  for (const one of seconds) expect(one).toBeCloseTo(0.02 + 1.5 * DECAY_S, 3);
  const close = takes.map((one) => ({
    ...one,
    responses: one.responses.map((response) => ({
      ...response,
      bands: response.bands.map((band) => ({ ...band, tfull_s: 3 })),
    })),
  }));
  const [cut] = await prepareListening(folder, { takes: close, changes: [change] });
  const decoded = decodeWav(cut!.wavs[1]);
  // From 1.6 s to 20 ms before 2.4 s, with 20 ms of lead.
  expect(decoded.ok && decoded.sound.channels[0]!.length / RATE_HZ).toBeCloseTo(0.8, 3);
});

test('nothing but level is altered: every sample of the recording times one gain', async () => {
  const takes = [take('before.wav', 'bare', []), take('after.wav', 'treated', [])];
  const [pair] = await prepareListening(folder, { takes, changes: [change] });
  const { file, onset_s, gain_db } = { ...pair!.entry.clips[0], file: 'before.wav' };
  const [clip, whole] = [pair!.wavs[0], readFileSync(join(folder, file))].map((wav) => {
    const decoded = decodeWav(wav);
    return decoded.ok ? decoded.sound.channels[0]! : new Float64Array();
  });
  const start = Math.round((onset_s - 0.02) * RATE_HZ);
  for (let i = 0; i < clip!.length; i += 97) {
    expect(clip![i]! / 10 ** (gain_db / 20)).toBeCloseTo(whole![start + i]!, 5);
  }
});

test('a take that stands in several comparisons is opened once', async () => {
  const takes = ['bare', 'foam', 'felt'].map((stage) => take(`${stage}.wav`, stage, []));
  const changes = [
    ['bare', 'foam'],
    ['foam', 'felt'],
    ['bare', 'felt'],
  ].map(([from, to]) => ({ from, to }) as Change);
  const opened = vi.spyOn(normalise, 'useTake');
  const pairs = await prepareListening(folder, { takes, changes });
  expect(pairs.map(({ entry }) => [entry.from, entry.to])).toEqual(changes.map(({ from, to }) => [from, to]));
  expect(opened.mock.calls.map(([, { file }]) => file).sort()).toEqual(['bare.wav', 'felt.wav', 'foam.wav']);
  // The same recording gives the same clip, but for the gain that matches it to the other.
  const [first, , third] = pairs.map(({ wavs }) => wavs[0]);
  expect([first, third].map((wav) => toneOf(wav!))).toEqual([0, 0]);
  opened.mockRestore();
});
