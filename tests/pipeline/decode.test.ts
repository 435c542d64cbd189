import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it, vi } from 'vitest';
import { decodeAudio } from '../../pipeline/decode.ts';
import { encodeWav } from '../../src/audio/encode-wav.ts';

const CODED = join(import.meta.dirname, '..', 'reference', 'coded-audio');

function coded(name: string): Uint8Array {
  return new Uint8Array(readFileSync(join(CODED, name)));
}

function rms_db(samples: Float64Array): number {
  return 10 * Math.log10(samples.reduce((sum, x) => sum + x * x, 0) / samples.length);
}

async function messageOf(bytes: Uint8Array): Promise<string> {
  const decoded = await decodeAudio(bytes);
  if (decoded.ok) throw new Error('was decoded');
  return decoded.message;
}

// Made by tests/reference/coded-audio/make.py: silence, then from 0.5 s a tone of 997 Hz at -23.01 dB, the right channel 6.02 dB lower.
describe('decodeAudio(bytes)', () => {
  it.each([
    ['tone.flac', 'FLAC', false],
    ['tone.mp3', 'MP3', true],
    ['tone.aac', 'AAC', true],
    ['tone.m4a', 'MP4 (mp4a)', true],
    ['tone-lossless.m4a', 'MP4 (alac)', false],
    ['tone.ogg', 'Ogg Vorbis', true],
    ['tone.opus', 'Ogg Opus', true],
    ['film.mp4', 'MP4 (mp4a)', true],
    ['film.mov', 'MP4 (mp4a)', true],
  ])('reads %s as %s with its rate, channels, level and timing; lossy: %s', async (name, coding, lossy) => {
    const decoded = await decodeAudio(coded(name));
    if (!decoded.ok) throw new Error(decoded.message);
    const { rate_hz, channels } = decoded.sound;
    expect([rate_hz, channels.length, decoded.sound.coding, decoded.sound.lossy]).toEqual([48_000, 2, coding, lossy]);
    // Lossless is the tone rounded to 16 bits; lossy coders keep a lone tone within half a decibel.
    const bound_db = lossy ? 0.5 : 0.01;
    const [left, right] = channels.map((channel) => rms_db(channel.subarray(38_400, 62_400)));
    expect(Math.abs(left! + 23.01)).toBeLessThan(bound_db);
    expect(Math.abs(right! + 29.03)).toBeLessThan(bound_db);
    const onset_s = channels[0]!.findIndex((x) => Math.abs(x) > 0.05) / rate_hz;
    // A raw AAC stream does not say how long its coder's delay is: 1024 samples or two frames.
    expect(Math.abs(onset_s - 0.5)).toBeLessThan(name === 'tone.aac' ? 0.045 : 0.005);
  });

  it('goes by the content and reads a WAV file as WAV', async () => {
    const decoded = await decodeAudio(encodeWav(new Float64Array(100).fill(0.25), 44_100, 24));
    expect(decoded).toMatchObject({ ok: true, sound: { rate_hz: 44_100, bits: 24, coding: 'WAV', lossy: false } });
  });

  it.each(['tone.flac', 'tone.mp3', 'tone.m4a', 'film.mov'])(
    'says of %s cut in half that it is not whole',
    async (name) => {
      const bytes = coded(name);
      expect(await messageOf(bytes.subarray(0, bytes.length / 2))).toMatch(/damaged or cut short/);
    },
  );

  it.each(['tone.flac', 'tone.mp3', 'tone-lossless.m4a', 'tone.ogg', 'tone.opus'])(
    'gives one sentence for %s with a third of it overwritten, and prints nothing',
    async (name) => {
      const spy = vi.spyOn(console, 'error');
      const bytes = coded(name).map((byte, i, all) =>
        i > all.length / 3 && i < (2 * all.length) / 3 ? (i * 7919) & 255 : byte,
      );
      expect(await messageOf(bytes)).toMatch(
        /^cannot be read: .* damaged.*; record or export it again as WAV \(PCM, 24 bit\)$/,
      );
      expect(spy).not.toHaveBeenCalled();
    },
  );

  it.each([
    [[], 'the file is empty'],
    [[...Buffer.from('a shopping list, no sound')], 'no kind of sound file'],
    [[...Buffer.from('FORM....AIFF........')], 'AIFF files are not decoded here'],
    [[0x1a, 0x45, 0xdf, 0xa3, 0, 0, 0, 0], 'Matroska or WebM files are not decoded here'],
    [[...Buffer.from('....ftypisom................')], 'MP4 data are damaged'],
  ])('refuses %j: %s', async (bytes, words) => {
    expect(await messageOf(Uint8Array.from(bytes))).toContain(words);
  });

  it('refuses a file that claims more samples than are held in memory, before it is decoded', async () => {
    const bytes = coded('tone.flac');
    // Low 32 bits of the sample count, RFC 9639, 8.2: byte 14 of the stream information, which starts at 8. 30 min at 96 kHz.
    new DataView(bytes.buffer).setUint32(8 + 14, 30 * 60 * 96_000);
    expect(await messageOf(bytes)).toContain('5.81 GB of memory to read, and 1.25 GB is the most');
  });
});
