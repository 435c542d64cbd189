import { CODED } from './coded.ts';
import { type Draw, joined } from './draw.ts';

/** Small files that unfold to hours of silence, their headers saying little of it: frames as short as a coding allows, over and over. */
export function unfolding(draw: Draw): Uint8Array {
  const bytes = 1000 * draw.pick([1, 30, 300, 2000]);
  const [coding, make] = draw.pick(Object.entries(CODINGS));
  return make(draw, Math.ceil(bytes / FRAME_BYTES[coding as keyof typeof CODINGS]));
}

const CODINGS = { flac: flacFile, opus: opusFile, mp3: mp3File, adts: adtsFile };
const FRAME_BYTES = { flac: 16, opus: 3, mp3: 24, adts: 13 } as const;

/** Constant subframes of 65535 samples (RFC 9639, 9.2.3). */
function flacFile(draw: Draw, frames: number): Uint8Array {
  const channels = draw.pick([1, 2, 8]);
  const stated = draw.pick([0, 1000, 2 ** 31]);
  const head = Buffer.concat([Buffer.from('fLaC'), Buffer.from([0x80, 0, 0, 34]), Buffer.alloc(34)]);
  head.writeUInt16BE(65_535, 8);
  head.writeUInt16BE(65_535, 10);
  // Rate in 20 bits, channels less one in 3, bits less one in 5, samples in 36.
  head.writeUInt32BE(((48_000 << 12) | (0 << 9) | (15 << 4)) >>> 0, 18);
  head.writeUInt32BE(stated, 22);
  const parts = Array.from({ length: frames }, (_, i) => flacFrame(i % 128, channels));
  return new Uint8Array(Buffer.concat([head, ...parts]));
}

function flacFrame(number: number, channels: number): Uint8Array {
  const header = [0xff, 0xf8, 0x70, ((channels - 1) << 4) | 8, number, 0xff, 0xfe];
  const body = [...header, remainder(header, { bits: 8, polynomial: 0x07 })];
  for (let i = 0; i < channels; i++) body.push(0, 0, 1);
  const check = remainder(body, { bits: 16, polynomial: 0x8005 });
  return Uint8Array.from([...body, check >> 8, check & 255]);
}

function remainder(bytes: readonly number[], { bits, polynomial }: { bits: number; polynomial: number }): number {
  const top = 1 << (bits - 1);
  const mask = 2 ** bits - 1;
  let crc = 0;
  for (const byte of bytes) {
    crc ^= byte << (bits - 8);
    for (let i = 0; i < 8; i++) crc = (crc & top ? (crc << 1) ^ polynomial : crc << 1) & mask;
  }
  return crc;
}

/** Packets of six frames of 20 ms without data (RFC 6716, 3.2.5), 255 in a page, behind the head of a whole file. */
function opusFile(draw: Draw, packets: number): Uint8Array {
  const whole = Buffer.from(CODED.get('tone.opus')!);
  const third = whole.indexOf('OggS', whole.indexOf('OggS', 1) + 1);
  const count = draw.pick([6, 6, 3, 48]);
  const pages = Array.from({ length: Math.ceil(packets / 255) }, (_, i) => {
    const head = Buffer.alloc(27 + 255, 2);
    head.write('OggS\u0000\u0000', 0, 'latin1');
    head.writeBigInt64LE(BigInt(48 * i), 6);
    whole.copy(head, 14, 14, 18);
    head.writeUInt32LE(i + 2, 18);
    head.writeUInt32LE(0, 22);
    head[26] = 255;
    const body = Buffer.alloc(510);
    for (let at = 0; at < 510; at += 2) body.set([0xfb, count], at);
    return joined(head, body);
  });
  return new Uint8Array(Buffer.concat([whole.subarray(0, third), ...pages]));
}

/** MPEG-2 layer III at 8 kbit/s and 24 kHz (ISO/IEC 13818-3): 576 samples in 24 bytes. */
function mp3File(_draw: Draw, frames: number): Uint8Array {
  const bytes = new Uint8Array(24 * frames);
  for (let at = 0; at < bytes.length; at += 24) bytes.set([0xff, 0xf3, 0x14, 0xc0], at);
  return bytes;
}

/** A silent frame of one channel behind each ADTS header (ISO/IEC 13818-7). */
function adtsFile(_draw: Draw, frames: number): Uint8Array {
  const frame = [0xff, 0xf1, 0x4c, 0x40, 13 >> 3, ((13 & 7) << 5) | 0x1f, 0xfc, 0x00, 0xc8, 0x00, 0x80, 0x23, 0x80];
  const bytes = new Uint8Array(13 * frames);
  for (let at = 0; at < bytes.length; at += 13) bytes.set(frame, at);
  return bytes;
}
