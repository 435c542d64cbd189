import { afterId3, type Coding } from './coding.ts';
import { mp4Sound } from './mp4-sound.ts';
import { mpegAudio } from './mpeg-audio.ts';

/** How much sound a coded file says it holds, before it is decoded. */
export interface ClaimedSound {
  seconds: number;
  /** Per second and channel; 0 where the header does not say. */
  rate_hz: number;
  channels: number;
  bits: number;
}

/**
 * What the headers say: FLAC's stream information (RFC 9639, 8.2), the last granule position of Ogg (RFC 3533; RFC 7845 for Opus, which counts
 * at 48 kHz), the sound track's header of MP4, the frames of MP3 and AAC. null where the coding or the file does not say.
 */
export function claimedSound(bytes: Uint8Array, coding: Coding): ClaimedSound | null {
  switch (coding) {
    case 'flac':
      return flacClaim(bytes);
    case 'ogg-opus':
    case 'ogg-vorbis':
      return oggClaim(bytes, coding);
    case 'mp4': {
      const sound = mp4Sound(bytes);
      return sound && sound.seconds > 0 ? { seconds: sound.seconds, rate_hz: 0, channels: 0, bits: 16 } : null;
    }
    case 'mp3':
    case 'aac': {
      const sound = mpegAudio(bytes, afterId3(bytes));
      return sound && { ...sound, bits: 16 };
    }
    default:
      return null;
  }
}

/** Rate in 20 bits, channels less one in 3, bits less one in 5, samples in 36, from byte 10 of the block on. */
function flacClaim(bytes: Uint8Array): ClaimedSound | null {
  const at = indexOfLetters(bytes, 'fLaC', 0) + 8;
  if (at < 8 || at + 18 > bytes.length) return null;
  const [b10, b11, b12, b13] = [10, 11, 12, 13].map((i) => bytes[at + i]!) as [number, number, number, number];
  const rate_hz = (b10 << 12) | (b11 << 4) | (b12 >> 4);
  const low = bytes.subarray(at + 14, at + 18).reduce((sum, byte) => sum * 256 + byte, 0);
  const samples = (b13 & 15) * 2 ** 32 + low;
  if (rate_hz === 0 || samples === 0) return null;
  const bits = (((b12 & 1) << 4) | (b13 >> 4)) + 1;
  return { seconds: samples / rate_hz, rate_hz, channels: ((b12 >> 1) & 7) + 1, bits };
}

function oggClaim(bytes: Uint8Array, coding: 'ogg-opus' | 'ogg-vorbis'): ClaimedSound | null {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const packet = 27 + (bytes[26] ?? 0);
  let page = bytes.length - 27;
  while (page >= 0 && !isLetters(bytes, 'OggS', page)) page -= 1;
  if (page < 0 || packet + 16 > bytes.length) return null;
  const granule = Number(view.getBigInt64(page + 6, true));
  if (granule <= 0) return null;
  if (coding === 'ogg-vorbis') {
    const rate_hz = view.getUint32(packet + 12, true);
    return rate_hz > 0 ? { seconds: granule / rate_hz, rate_hz, channels: bytes[packet + 11]!, bits: 16 } : null;
  }
  const skipped = view.getUint16(packet + 10, true);
  return { seconds: (granule - skipped) / 48_000, rate_hz: 48_000, channels: bytes[packet + 9]!, bits: 16 };
}

function isLetters(bytes: Uint8Array, letters: string, at: number): boolean {
  for (let i = 0; i < letters.length; i += 1) if (bytes[at + i] !== letters.charCodeAt(i)) return false;
  return true;
}

function indexOfLetters(bytes: Uint8Array, letters: string, from: number): number {
  for (let at = from; at + letters.length <= bytes.length; at += 1) if (isLetters(bytes, letters, at)) return at;
  return -1;
}
