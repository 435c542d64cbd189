import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import wavefile from 'wavefile';
import { decodeWav } from '../../src/audio/decode-wav.ts';
import { encodeWav } from '../../src/audio/encode-wav.ts';

/** A file made by the wavefile library alone: the writer under test is not used to check the reader. */
function written(channels: number[][], rate_hz: number, depth: string, options: object = {}): Uint8Array {
  const wav = new wavefile.WaveFile();
  wav.fromScratch(channels.length, rate_hz, depth, channels.length === 1 ? channels[0]! : channels, options);
  return wav.toBuffer();
}

function soundOf(bytes: Uint8Array) {
  const decoded = decodeWav(bytes);
  if (!decoded.ok) throw new Error(decoded.message);
  return decoded.sound;
}

function messageOf(bytes: Uint8Array): string {
  const decoded = decodeWav(bytes);
  return decoded.ok ? 'was read' : decoded.message;
}

const RAMP = [0, 0.25, -0.25, 0.5, -0.5, -1];

describe('decodeWav(bytes)', () => {
  it.each([
    ['8', [128, 160, 96, 192, 64, 0]],
    ['16', RAMP.map((v) => v * 32768)],
    ['24', RAMP.map((v) => v * 8388608)],
    ['32', RAMP.map((v) => v * 2147483648)],
    ['32f', RAMP],
    ['64', RAMP],
  ])('reads depth %s with full scale at 1', (depth, stored) => {
    const sound = soundOf(written([stored], 44100, depth));
    expect(Array.from(sound.channels[0]!)).toEqual(RAMP);
    expect(sound.rate_hz).toBe(44100);
    expect(sound.lossy).toBe(false);
    expect(sound.sample_format).toBe(depth === '32f' || depth === '64' ? 'float' : 'pcm');
  });

  it('keeps channels apart, also where the header is extensible, as it is for more than two', () => {
    const stored = [RAMP.map((v) => v * 32768), RAMP.map((v) => v * 16384), RAMP.map(() => 0)];
    const sound = soundOf(written(stored, 48000, '16'));
    expect(sound.channels.map((channel) => channel[3])).toEqual([0.5, 0.25, 0]);
  });

  it.each(['16', '32', '32f'])('reads depth %s alike wherever in memory the file begins', (depth) => {
    const scale = depth === '32f' ? 1 : 2 ** (Number(depth) - 1);
    const stored = [RAMP.map((v) => v * scale), RAMP.map((v) => (v * scale) / 2)];
    const file = written(stored, 48000, depth);
    for (const shift of [1, 2, 3]) {
      const shifted = new Uint8Array(file.length + shift).subarray(shift);
      shifted.set(file);
      expect(soundOf(shifted)).toEqual(soundOf(file));
    }
    expect(Array.from(soundOf(file).channels[1]!)).toEqual(RAMP.map((v) => v / 2));
  });

  it('reads big-endian files alike', () => {
    for (const depth of ['16', '24', '32f']) {
      const scale = depth === '16' ? 32768 : depth === '24' ? 8388608 : 1;
      const sound = soundOf(written([RAMP.map((v) => v * scale)], 48000, depth, { container: 'RIFX' }));
      expect(Array.from(sound.channels[0]!)).toEqual(RAMP);
    }
  });

  it('marks A-law and mu-law as lossy and decodes them within their step', () => {
    for (const law of ['toALaw', 'toMuLaw'] as const) {
      const wav = new wavefile.WaveFile();
      wav.fromScratch(
        1,
        8000,
        '16',
        RAMP.map((v) => v * 32000),
      );
      wav[law]();
      const sound = soundOf(wav.toBuffer());
      expect(sound.lossy).toBe(true);
      // The coarsest step of either law is 1/32 of full scale (ITU-T G.711, 1988, tables 1a and 2a).
      RAMP.forEach((v, i) => {
        expect(Math.abs(sound.channels[0]![i]! - (v * 32000) / 32768)).toBeLessThan(1 / 32);
      });
    }
  });

  it('reads what encodeWav wrote, within half a step', () => {
    const samples = Float64Array.from({ length: 999 }, (_, i) => Math.sin(i * 0.7) * 0.9);
    for (const [bits, step] of [
      [16, 1 / 32768],
      [24, 1 / 8388608],
      ['32f', 1 / 8388608],
    ] as const) {
      const sound = soundOf(encodeWav(samples, 48000, bits));
      expect(sound.channels[0]!.length).toBe(999);
      const worst = Math.max(...samples.map((v, i) => Math.abs(v - sound.channels[0]![i]!)));
      expect(worst).toBeLessThanOrEqual(step / 2);
    }
  });

  it('reads to the end of the file where the recorder left the size open', () => {
    const bytes = written([RAMP.map((v) => v * 32768)], 48000, '16');
    for (const size of [0, 0xffffffff]) {
      new DataView(bytes.buffer).setUint32(40, size, true);
      expect(soundOf(bytes).channels[0]!.length).toBe(RAMP.length);
    }
  });

  it('says in one line what is wrong with a file it cannot read', () => {
    const good = written([RAMP.map((v) => v * 32768)], 48000, '16');
    const damaged = (change: (view: DataView) => void) => {
      const copy = good.slice();
      change(new DataView(copy.buffer));
      return messageOf(copy);
    };
    expect(messageOf(new Uint8Array(0))).toContain('the file is empty');
    expect(messageOf(new TextEncoder().encode('not a recording at all'))).toContain('not a WAV file');
    expect(messageOf(good.subarray(0, 30))).toContain('format chunk is cut short');
    expect(messageOf(good.subarray(0, 50))).toContain('50 % of the sound');
    expect(damaged((view) => view.setUint16(22, 0, true))).toContain('no channels');
    expect(damaged((view) => view.setUint32(24, 0, true))).toContain('sample rate of 0 Hz');
    expect(damaged((view) => view.setUint32(24, 4_000_000_000, true))).toContain('sample rate of 4000000000 Hz');
    expect(damaged((view) => view.setUint16(32, 7, true))).toContain('contradicts itself');
    expect(damaged((view) => view.setUint16(20, 0x55, true))).toContain('format 85');
    expect(messageOf(written([[0, 0.1, Number.NaN]], 48000, '32f'))).toContain('sample 3');
    expect(messageOf(written([[0, Number.POSITIVE_INFINITY]], 48000, '64'))).toContain('sample 2');
    expect(messageOf(good.subarray(0, 44))).not.toBe('was read');
  });

  it('never throws, whatever bytes follow a WAV header', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 200 }), fc.nat(44), (noise, keep) => {
        const bytes = new Uint8Array([...written([[1, 2, 3]], 48000, '16').subarray(0, keep), ...noise]);
        const decoded = decodeWav(bytes);
        expect(decoded.ok ? decoded.sound.channels.length : decoded.message.length).toBeGreaterThan(0);
        if (!decoded.ok) expect(decoded.message).not.toContain('\n');
      }),
      { numRuns: 300, seed: 5 },
    );
  });
});
