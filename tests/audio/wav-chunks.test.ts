import { describe, expect, it } from 'vitest';
import { decodeWav } from '../../src/audio/decode-wav.ts';
import { encodeWav } from '../../src/audio/encode-wav.ts';

const PLAIN = encodeWav(
  Float64Array.from({ length: 100 }, (_, i) => (i % 7) / 10),
  8000,
  16,
);
/** Name, size and bytes of a chunk of text. */
const LIST = [...Buffer.from('LIST'), 20, 0, 0, 0, ...Buffer.from('INFOISFT words here!')];

/** The sound of 100 samples in a container that writes the true size of the data elsewhere, with a chunk behind it. */
function longForm(container: 'RF64' | 'BW64', dataBytes: number): Uint8Array {
  const data = Buffer.from(PLAIN).indexOf('data');
  const ds64 = Buffer.alloc(8 + 28);
  ds64.write('ds64', 0);
  ds64.writeUInt32LE(28, 4);
  ds64.writeBigUInt64LE(BigInt(dataBytes), 16);
  const bytes = Buffer.from([...PLAIN.subarray(0, 12), ...ds64, ...PLAIN.subarray(12), ...LIST]);
  bytes.write(container, 0);
  bytes.writeUInt32LE(0xffffffff, 4);
  bytes.writeUInt32LE(0xffffffff, data + ds64.length + 4);
  return new Uint8Array(bytes);
}

/** 100 samples of float of 32 bits, one of them given. */
function floatWav(value: number): Uint8Array {
  const bytes = Buffer.concat([PLAIN, Buffer.alloc(200)]);
  const data = bytes.indexOf('data');
  for (const [at, count] of [
    [20, 3],
    [32, 4],
    [34, 32],
  ] as const)
    bytes.writeUInt16LE(count, at);
  bytes.fill(0, data + 8);
  bytes.writeUInt32LE(400, data + 4);
  bytes.writeFloatLE(value, data + 8 + 40);
  return new Uint8Array(bytes);
}

describe('a sample of float', () => {
  it.each([0.5, -4e9, 1e-38])('may be %d', (value) => {
    const decoded = decodeWav(floatWav(value));
    expect(decoded.ok && decoded.sound.channels[0]![10]).toBe(Math.fround(value));
  });

  it.each([
    [1e30, 'sample 11 at 0.001 s is beyond all full scales'],
    [Number.NEGATIVE_INFINITY, 'sample 11 at 0.001 s is not a number'],
  ])('may not be %d', (value, words) => {
    expect(decodeWav(floatWav(value))).toMatchObject({ ok: false, message: expect.stringContaining(words) });
  });
});

describe('the data of a WAV file', () => {
  // EBU Tech 3306 (RF64) and ITU-R BS.2088 (BW64): the size stands in the ds64 chunk.
  it.each(['RF64', 'BW64'] as const)(
    'end in %s where its ds64 chunk says, not at the end of what follows',
    (container) => {
      const decoded = decodeWav(longForm(container, 200));
      if (!decoded.ok) throw new Error(decoded.message);
      expect(decoded.sound.channels[0]).toHaveLength(100);
    },
  );

  it('are cut short in RF64 where its ds64 chunk promises more than is there', () => {
    expect(decodeWav(longForm('RF64', 20_000))).toMatchObject({
      ok: false,
      message: expect.stringContaining('1 % of the sound'),
    });
  });

  it('run to the end of RF64 that a recorder never finished', () => {
    const decoded = decodeWav(longForm('RF64', 0));
    expect(decoded.ok && decoded.sound.channels[0]!.length).toBe(100 + LIST.length / 2);
  });

  it('are none where their size is 0 and other chunks follow: words are not taken for sound', () => {
    const empty = Buffer.from([...PLAIN.subarray(0, Buffer.from(PLAIN).indexOf('data') + 8), ...LIST]);
    empty.writeUInt32LE(0, empty.indexOf('data') + 4);
    expect(decodeWav(new Uint8Array(empty))).toMatchObject({ ok: false, message: expect.stringContaining('no sound') });
  });
});
