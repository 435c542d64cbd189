/** Codings that are told apart by content. The second group is recognised only to be refused by name. */
export type Coding =
  | 'wav'
  | 'flac'
  | 'mp3'
  | 'aac'
  | 'mp4'
  | 'ogg-vorbis'
  | 'ogg-opus'
  | 'aiff'
  | 'caf'
  | 'wma'
  | 'amr'
  | 'matroska'
  | 'ogg';

/** How the trade writes them. */
export const CODING_NAME: Record<Coding, string> = {
  wav: 'WAV',
  flac: 'FLAC',
  mp3: 'MP3',
  aac: 'AAC',
  mp4: 'MP4',
  'ogg-vorbis': 'Ogg Vorbis',
  'ogg-opus': 'Ogg Opus',
  aiff: 'AIFF',
  caf: 'CAF',
  wma: 'Windows Media',
  amr: 'AMR',
  matroska: 'Matroska or WebM',
  ogg: 'Ogg',
};

/**
 * The coding of an audio or video file, from its first bytes and never from its name: WAVE in RIFF, RIFX, RF64 or BW64; FLAC (RFC 9639);
 * MPEG audio and ADTS by their sync word (ISO/IEC 11172-3, 13818-7), with or without ID3v2 before; ISO base media and QuickTime
 * files (ISO/IEC 14496-12) by their first box; Ogg (RFC 3533) by its first packet. null where none fits.
 */
export function codingOf(bytes: Uint8Array): Coding | null {
  const start = afterId3(bytes);
  const four = text(bytes, start, 4);
  if (['RIFF', 'RIFX', 'RF64', 'BW64'].includes(four)) return text(bytes, start + 8, 4) === 'WAVE' ? 'wav' : null;
  if (four === 'fLaC') return 'flac';
  if (four === 'OggS') return oggCoding(bytes);
  if (four === 'FORM') return 'aiff';
  if (four === 'caff') return 'caf';
  if (text(bytes, 0, 5) === '#!AMR') return 'amr';
  if (bytes[0] === 0x30 && bytes[1] === 0x26 && bytes[2] === 0xb2 && bytes[3] === 0x75) return 'wma';
  if (bytes[0] === 0x1a && bytes[1] === 0x45 && bytes[2] === 0xdf && bytes[3] === 0xa3) return 'matroska';
  if (['ftyp', 'moov', 'mdat', 'wide', 'free', 'skip'].includes(text(bytes, 4, 4))) return 'mp4';
  return syncCoding(bytes, start) ?? (start > 0 ? 'mp3' : null);
}

function text(bytes: Uint8Array, at: number, length: number): string {
  return String.fromCharCode(...bytes.subarray(at, at + length));
}

/** Index of the first byte after an ID3v2 tag, whose size is written in four bytes of seven bits; 0 without a tag. */
export function afterId3(bytes: Uint8Array): number {
  if (bytes.length < 10 || text(bytes, 0, 3) !== 'ID3') return 0;
  const size = bytes.subarray(6, 10).reduce((sum, byte) => sum * 128 + (byte & 0x7f), 0);
  return 10 + size + (bytes[5]! & 0x10 ? 10 : 0);
}

function oggCoding(bytes: Uint8Array): Coding {
  const packet = 27 + (bytes[26] ?? 0);
  if (text(bytes, packet, 8) === 'OpusHead') return 'ogg-opus';
  return text(bytes, packet + 1, 6) === 'vorbis' ? 'ogg-vorbis' : 'ogg';
}

/** Twelve (or, for MPEG 2.5, eleven) set bits, then the layer: 0 is ADTS, 1 is layer III, 2 layer II, 3 layer I. */
function syncCoding(bytes: Uint8Array, at: number): Coding | null {
  const [first, second] = [bytes[at], bytes[at + 1]];
  if (first !== 0xff || second === undefined || (second & 0xe0) !== 0xe0) return null;
  const layer = (second >> 1) & 3;
  if (layer === 0) return (second & 0xf0) === 0xf0 ? 'aac' : null;
  return 'mp3';
}
