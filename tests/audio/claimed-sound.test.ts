import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { claimedSound } from '../../src/audio/claimed-sound.ts';
import { codingOf } from '../../src/audio/coding.ts';
import { isLosslessCodec, mp4Sound } from '../../src/audio/mp4-sound.ts';

function coded(name: string): Uint8Array {
  return new Uint8Array(readFileSync(join(import.meta.dirname, '..', 'reference', 'coded-audio', name)));
}

// Files of 1.5 s, made by tests/reference/coded-audio/make.py. Coders add up to two frames of 1024 or 1152 samples.
describe('codingOf(bytes) and claimedSound(bytes, coding)', () => {
  it.each([
    ['tone.flac', 'flac', 1e-6],
    ['tone.mp3', 'mp3', 0.08],
    ['tone.aac', 'aac', 0.06],
    ['tone.m4a', 'mp4', 0.06],
    ['tone-lossless.m4a', 'mp4', 0.06],
    ['tone.ogg', 'ogg-vorbis', 1e-6],
    ['tone.opus', 'ogg-opus', 1e-3],
    ['film.mp4', 'mp4', 0.06],
    ['film.mov', 'mp4', 0.06],
  ] as const)('tells %s for %s, and its length', (name, coding, bound_s) => {
    expect(codingOf(coded(name))).toBe(coding);
    const claim = claimedSound(coded(name), coding)!;
    expect(Math.abs(claim.seconds - 1.5)).toBeLessThan(bound_s);
    if (coding !== 'mp4') expect([claim.rate_hz, claim.channels]).toEqual([48_000, 2]);
  });

  it('looks past an ID3v2 tag', () => {
    const tag = Uint8Array.from([...Buffer.from('ID3'), 4, 0, 0, 0, 0, 1, 2, ...new Uint8Array(130)]);
    for (const name of ['tone.mp3', 'tone.flac'] as const) {
      const tagged = new Uint8Array([...tag, ...coded(name)]);
      expect(codingOf(tagged)).toBe(name === 'tone.mp3' ? 'mp3' : 'flac');
    }
  });

  it.each([
    ['RIFF....WAVE', 'wav'],
    ['RF64....WAVE', 'wav'],
    ['RIFF....AVI ', null],
    ['caff........', 'caf'],
    ['#!AMR\n......', 'amr'],
    ['OggS', 'ogg'],
    ['', null],
  ])('takes %j for %s', (start, coding) => {
    expect(codingOf(Uint8Array.from(Buffer.from(start)))).toBe(coding);
  });

  it('finds the sound track beside a picture, and knows which coding loses nothing', () => {
    expect(mp4Sound(coded('film.mov'))).toMatchObject({ codec: 'mp4a' });
    expect(mp4Sound(coded('tone-lossless.m4a'))).toMatchObject({ codec: 'alac' });
    expect(['mp4a', 'alac', 'sowt', 'ac-3'].map(isLosslessCodec)).toEqual([false, true, true, false]);
    expect(mp4Sound(coded('film.mov').subarray(0, 200))).toBeNull();
  });
});
