/** What the frames of an MP3 or ADTS AAC stream amount to. */
export interface MpegAudio {
  rate_hz: number;
  channels: number;
  /** From the count that the encoder wrote (Xing header), where there is one, else from the frames that are there. */
  seconds: number;
}

/** kbit/s of layer III by index: ISO/IEC 11172-3, 2.4.2.3, and, for the lower rates, ISO/IEC 13818-3. */
const KBITS_1 = [0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320];
const KBITS_2 = [0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160];
const RATES_HZ = [44_100, 48_000, 32_000];
/** ISO/IEC 13818-7, sampling_frequency_index. */
const ADTS_RATES_HZ = [
  96_000, 88_200, 64_000, 48_000, 44_100, 32_000, 24_000, 22_050, 16_000, 12_000, 11_025, 8000, 7350,
];
const ADTS_SAMPLES = 1024;

interface Frame {
  bytes: number;
  samples: number;
  rate_hz: number;
  channels: number;
}

/**
 * Length, rate and channels of an MP3 (layer III) or ADTS stream, by walking from frame header to frame header without decoding. null
 * where `at` is no frame.
 */
export function mpegAudio(bytes: Uint8Array, start: number): MpegAudio | null {
  const first = frameAt(bytes, start);
  if (!first) return null;
  const { rate_hz, channels } = first;
  const stated = statedFrames(bytes, start, first);
  let samples = 0;
  for (let at = start; samples >= 0; ) {
    const frame = frameAt(bytes, at);
    if (!frame) break;
    samples += frame.samples;
    at += frame.bytes;
  }
  return { rate_hz, channels, seconds: (stated === null ? samples : stated * first.samples) / rate_hz };
}

function frameAt(bytes: Uint8Array, at: number): Frame | null {
  if (at + 7 > bytes.length || bytes[at] !== 0xff || (bytes[at + 1]! & 0xe0) !== 0xe0) return null;
  return ((bytes[at + 1]! >> 1) & 3) === 0 ? adtsFrame(bytes, at) : layer3Frame(bytes, at);
}

function adtsFrame(bytes: Uint8Array, at: number): Frame | null {
  const rate_hz = ADTS_RATES_HZ[(bytes[at + 2]! >> 2) & 15];
  const channels = ((bytes[at + 2]! & 1) << 2) | (bytes[at + 3]! >> 6);
  const length = ((bytes[at + 3]! & 3) << 11) | (bytes[at + 4]! << 3) | (bytes[at + 5]! >> 5);
  return rate_hz && length > 7 ? { bytes: length, samples: ADTS_SAMPLES, rate_hz, channels } : null;
}

function layer3Frame(bytes: Uint8Array, at: number): Frame | null {
  const version = (bytes[at + 1]! >> 3) & 3;
  const rate = RATES_HZ[(bytes[at + 2]! >> 2) & 3];
  const kbits = (version === 3 ? KBITS_1 : KBITS_2)[bytes[at + 2]! >> 4];
  if (((bytes[at + 1]! >> 1) & 3) !== 1 || version === 1 || !rate || !kbits) return null;
  const rate_hz = rate / { 3: 1, 2: 2, 0: 4 }[version as 0 | 2 | 3];
  const samples = version === 3 ? 1152 : 576;
  const padding = (bytes[at + 2]! >> 1) & 1;
  const length = Math.floor((samples / 8) * ((kbits * 1000) / rate_hz)) + padding;
  return { bytes: length, samples, rate_hz, channels: bytes[at + 3]! >> 6 === 3 ? 1 : 2 };
}

/** The number of frames that encoders write into the first, silent frame, behind its side information. */
function statedFrames(bytes: Uint8Array, start: number, { samples, channels }: Frame): number | null {
  if (samples === ADTS_SAMPLES) return null;
  const side = samples === 1152 ? (channels === 1 ? 17 : 32) : channels === 1 ? 9 : 17;
  const at = start + 4 + side;
  const name = String.fromCharCode(...bytes.subarray(at, at + 4));
  if ((name !== 'Xing' && name !== 'Info') || at + 12 > bytes.length || (bytes[at + 7]! & 1) === 0) return null;
  return bytes.subarray(at + 8, at + 12).reduce((sum, byte) => sum * 256 + byte, 0);
}
