import { afterId3, type Coding } from './coding.ts';
import { mp4MostFrames } from './mp4-tables.ts';

/**
 * The most samples of each channel that a coded file can decode to, counted from the frames that are in it: a header may promise
 * little of a file that unfolds to many gigabytes. Never less than what a decoder gives; close to it, unless something is wrong. MP4 is counted from
 * its tables. null where the coding is none that is decoded here.
 *
 * Lengths of frames: FLAC by RFC 9639, 9.1; Opus by RFC 6716, 3.1 in pages by RFC 3533; Vorbis at most half its long block a packet (Vorbis I
 * specification, 4.3.8); MPEG audio by ISO/IEC 11172-3 and 13818-3; ADTS by ISO/IEC 13818-7, without the doubling of spectral band replication.
 */
export function mostFrames(bytes: Uint8Array, coding: Coding): number | null {
  switch (coding) {
    case 'flac':
      return flacFrames(bytes);
    case 'ogg-opus':
      return packetSum(bytes, (at, length) => opusFrames(bytes, at, length));
    case 'ogg-vorbis': {
      const long = 2 ** ((bytes[27 + bytes[26]! + 28] ?? 0) >> 4);
      return packetSum(bytes, () => long / 2);
    }
    case 'mp3':
    case 'aac':
      return mpegFrames(bytes, afterId3(bytes));
    case 'mp4':
      return Math.max(mp4MostFrames(bytes), flacFrames(bytes));
    default:
      return null;
  }
}

/** The most channels that a frame of a FLAC file has (RFC 9639, 9.1.3); its header may state fewer. */
export function mostFlacChannels(bytes: Uint8Array): number {
  let most = 0;
  for (const { at } of flacHeaders(bytes)) {
    const code = bytes[at + 3]! >> 4;
    most = Math.max(most, code < 8 ? code + 1 : 2);
  }
  return most;
}

/** Sum of the block sizes of all that looks like a frame header and bears out its check byte. */
function flacFrames(bytes: Uint8Array): number {
  let frames = 0;
  for (const { at, sizeAt } of flacHeaders(bytes)) frames += blockSize(bytes, bytes[at + 2]! >> 4, sizeAt);
  return frames;
}

function* flacHeaders(bytes: Uint8Array): Generator<{ at: number; sizeAt: number }> {
  for (let at = 0; at + 6 < bytes.length; at++) {
    if (bytes[at] !== 0xff || (bytes[at + 1]! & 0xfe) !== 0xf8) continue;
    const code = bytes[at + 2]! >> 4;
    const [rate, reserved, numberBytes] = [bytes[at + 2]! & 15, bytes[at + 3]! & 1, codedNumberBytes(bytes[at + 4]!)];
    if (code === 0 || rate === 15 || reserved === 1 || numberBytes === 0) continue;
    const sizeAt = at + 4 + numberBytes;
    const sizeBytes = code === 6 ? 1 : code === 7 ? 2 : 0;
    const rateBytes = rate === 12 ? 1 : rate === 13 || rate === 14 ? 2 : 0;
    const end = sizeAt + sizeBytes + rateBytes;
    if (end < bytes.length && crc8(bytes, at, end) === bytes[end]) yield { at, sizeAt };
  }
}

function blockSize(bytes: Uint8Array, code: number, at: number): number {
  if (code === 1) return 192;
  if (code <= 5) return 144 * 2 ** code;
  if (code === 6) return bytes[at]! + 1;
  return code === 7 ? bytes[at]! * 256 + bytes[at + 1]! + 1 : 2 ** code;
}

/** Length of a number written as UTF-8 writes a letter, of up to seven bytes; 0 where it is none. */
function codedNumberBytes(first: number): number {
  if (first < 0x80) return 1;
  const ones = Math.clz32(~(first << 24));
  return ones >= 2 && ones <= 7 ? ones : 0;
}

/** Remainder by the polynomial x^8 + x^2 + x + 1 (RFC 9639, 9.1.8). */
function crc8(bytes: Uint8Array, start: number, end: number): number {
  let crc = 0;
  for (let at = start; at < end; at++) {
    crc ^= bytes[at]!;
    for (let bit = 0; bit < 8; bit++) crc = crc & 0x80 ? ((crc << 1) ^ 7) & 0xff : crc << 1;
  }
  return crc;
}

/** What all packets of an Ogg file come to; packets that go on over a page count again there. */
function packetSum(bytes: Uint8Array, framesOf: (at: number, length: number) => number): number {
  let frames = 0;
  for (let page = 0; page + 27 <= bytes.length; ) {
    if (bytes[page] !== 0x4f || bytes[page + 1] !== 0x67 || bytes[page + 2] !== 0x67 || bytes[page + 3] !== 0x53) {
      page++;
      continue;
    }
    const segments = bytes[page + 26]!;
    let at = page + 27 + segments;
    let length = 0;
    for (let i = 0; i < segments; i++) {
      const part = bytes[page + 27 + i] ?? 0;
      length += part;
      if (part === 255) continue;
      frames += framesOf(at, length);
      at += length;
      length = 0;
    }
    page += 27;
  }
  return frames;
}

const OPUS_MS = [10, 20, 40, 60, 10, 20, 40, 60, 10, 20, 40, 60, 10, 20, 10, 20];

/** At 48 kHz; no packet is longer than 120 ms. */
function opusFrames(bytes: Uint8Array, at: number, length: number): number {
  const toc = bytes[at] ?? 0;
  const configuration = toc >> 3;
  const ms = configuration < 16 ? OPUS_MS[configuration]! : 2.5 * 2 ** (configuration & 3);
  const code = toc & 3;
  const count = code === 0 ? 1 : code < 3 ? 2 : length > 1 ? bytes[at + 1]! & 63 : 0;
  return 48 * Math.min(120, ms * count);
}

/** No frame is shorter: layer III of the lower rates at 8 kbit/s and 24 kHz. */
const LEAST_BYTES = 24;

/** Sum over whatever looks like a frame header, wherever it stands: a decoder finds its way back after any damage. */
function mpegFrames(bytes: Uint8Array, start: number): number {
  let frames = 0;
  for (let at = start; at + 4 <= bytes.length; ) {
    if (bytes[at] !== 0xff || (bytes[at + 1]! & 0xe0) !== 0xe0) {
      at++;
      continue;
    }
    const layer = (bytes[at + 1]! >> 1) & 3;
    if (layer === 0) {
      const length = ((bytes[at + 3]! & 3) << 11) | ((bytes[at + 4] ?? 0) << 3) | ((bytes[at + 5] ?? 0) >> 5);
      if (length < 7) at++;
      else {
        frames += 1024;
        at += length;
      }
    } else {
      const length = layerFrameBytes(bytes[at + 1]!, bytes[at + 2]!);
      if (length === null) at++;
      else {
        frames += (bytes[at + 1]! & 8) === 0 && layer === 1 ? 576 : layer === 3 ? 384 : 1152;
        at += Math.max(LEAST_BYTES, length);
      }
    }
  }
  return frames;
}

/** kbit/s by index, for MPEG-1 and the lower rates, and by the two bits that name the layer: 3 is layer I, 2 layer II, 1 layer III. */
const KBITS: Readonly<Record<'1-3' | '1-2' | '1-1' | '2-3' | '2-2' | '2-1', readonly number[]>> = {
  '1-3': [0, 32, 64, 96, 128, 160, 192, 224, 256, 288, 320, 352, 384, 416, 448],
  '1-2': [0, 32, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320, 384],
  '1-1': [0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320],
  '2-3': [0, 32, 48, 56, 64, 80, 96, 112, 128, 144, 160, 176, 192, 224, 256],
  '2-2': [0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160],
  '2-1': [0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160],
};
const RATES_HZ = [44_100, 48_000, 32_000];

/** Length of an MPEG audio frame from its second and third byte; null where they are no header, or leave the bit rate open. */
function layerFrameBytes(second: number, third: number): number | null {
  const version = (second >> 3) & 3;
  const layerBits = ((second >> 1) & 3) as 1 | 2 | 3;
  const rate = RATES_HZ[(third >> 2) & 3];
  if (version === 1 || rate === undefined) return null;
  const kbits = KBITS[`${version === 3 ? 1 : 2}-${layerBits}`][third >> 4];
  if (!kbits) return null;
  const rate_hz = version === 3 ? rate : version === 2 ? rate / 2 : rate / 4;
  const padding = (third >> 1) & 1;
  if (layerBits === 3) return 4 * (Math.floor((12_000 * kbits) / rate_hz) + padding);
  const samples = layerBits === 1 && version !== 3 ? 576 : 1152;
  return Math.floor(((samples / 8) * 1000 * kbits) / rate_hz) + padding;
}
