import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { decodeAudio } from '../../pipeline/decode.ts';
import { codingOf } from '../../src/audio/coding.ts';
import { mostFlacChannels, mostFrames } from '../../src/audio/most-sound.ts';
import { mp4Contradiction } from '../../src/audio/mp4-tables.ts';

function coded(name: string): Uint8Array {
  return new Uint8Array(readFileSync(join(import.meta.dirname, '..', 'reference', 'coded-audio', name)));
}

describe('mostFrames(bytes, coding)', () => {
  // Coders pad by up to some frames of 2048 samples. The two or three packets of an Ogg header count as sound: 120 ms each at most, for Opus.
  it.each([
    'tone.flac',
    'tone.mp3',
    'tone.aac',
    'tone.m4a',
    'tone-lossless.m4a',
    'tone.ogg',
    'tone.opus',
    'film.mp4',
    'film.mov',
  ])('is no less than what %s decodes to, and no more than its coder padded', async (name) => {
    const bytes = coded(name);
    const decoded = await decodeAudio(bytes);
    if (!decoded.ok) throw new Error(decoded.message);
    const { length } = decoded.sound.channels[0]!;
    const most = mostFrames(bytes, codingOf(bytes)!)!;
    expect(most).toBeGreaterThanOrEqual(length);
    expect(most).toBeLessThan(length + 13_000);
  });

  it('counts the channels of FLAC in its frames', () => {
    expect(mostFlacChannels(coded('tone.flac'))).toBe(2);
  });
});

/** A copy with a number put some bytes behind the first place where four letters stand. */
function altered(name: string, letters: string, behind: number, value: number): Uint8Array {
  const bytes = coded(name);
  new DataView(bytes.buffer).setUint32(Buffer.from(bytes).indexOf(letters) + behind, value);
  return bytes;
}

describe('mp4Contradiction(bytes)', () => {
  it.each(['tone.m4a', 'tone-lossless.m4a', 'film.mp4', 'film.mov'])('finds none in %s', (name) => {
    expect(mp4Contradiction(coded(name))).toBeNull();
  });

  // ISO/IEC 14496-12, 8.7.3: version and flags, a size for all, their count. 8.7.4, 8.7.5: version and flags, the count.
  it.each([
    ['stsz', 12, 0xffffffff],
    ['stsz', 12, 10_000],
    ['stsz', 8, 1_000_000],
    ['stco', 8, 0x7fffffff],
    ['stsc', 8, 0xffffff],
    ['stts', 8, 0x1000000],
    ['elst', 8, 0x80000000],
  ])(
    'refuses a table %s whose bytes %i say %i, before a decoder fills memory for it',
    async (letters, behind, value) => {
      const bytes = altered('tone.m4a', letters, behind, value);
      const decoded = await decodeAudio(bytes);
      expect(decoded).toMatchObject({
        ok: false,
        message: expect.stringContaining('count more sound than there is room for'),
      });
    },
  );
});
