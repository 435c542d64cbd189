import pLimit from 'p-limit';
import { type ClaimedSound, claimedSound } from '../src/audio/claimed-sound.ts';
import { CODING_NAME, type Coding, codingOf } from '../src/audio/coding.ts';
import { type Decoded, decodeWav, isSample } from '../src/audio/decode-wav.ts';
import { mostFlacChannels, mostFrames } from '../src/audio/most-sound.ts';
import { isLosslessCodec, mp4Sound } from '../src/audio/mp4-sound.ts';
import { mp4Contradiction } from '../src/audio/mp4-tables.ts';
import { memoryRefusal } from '../src/audio/reading-memory.ts';

/** What the decoding packages hand back. */
interface DecodedData {
  channelData: Float32Array[];
  sampleRate: number;
  errors?: unknown[] | number;
}

type DecoderModule = { default: (bytes: Uint8Array) => Promise<DecodedData> };

/** A file may fall short of its own header by this much, or by a hundredth: encoders pad and trim. */
const SHORT_BY_S = 0.2;
const SHORT_BY_SHARE = 0.01;
/** As for WAV. */
const MOST_CHANNELS = 64;
const HIGHEST_RATE_HZ = 1_000_000;

/** Decoders are loaded when a file asks for them. Those for AAC and MP4 are optional packages under the GPL. */
const DECODERS: Partial<Record<Coding, () => Promise<DecoderModule>>> = {
  flac: () => import('@audio/decode-flac'),
  mp3: () => import('@audio/decode-mp3'),
  'ogg-opus': () => import('@audio/decode-opus'),
  'ogg-vorbis': () => import('@audio/decode-vorbis'),
  aac: () => import('@audio/decode-aac'),
  mp4: () => import('@audio/decode-mp4'),
};

/**
 * The sound in a file of any of the codings known: WAV, FLAC, MP3, AAC, Ogg Vorbis and Opus, and the first sound track of MP4, M4A and MOV.
 * It goes by what the file holds, not by its name. What was coded with loss is marked. Samples are full scale 1, the
 * rate and the channels those of the file.
 *
 * @returns `ok: false` with a sentence and the mend, for what is unknown, damaged, shorter than its header says, or too long to hold
 * in memory. Never throws.
 */
export async function decodeAudio(bytes: Uint8Array): Promise<Decoded> {
  if (bytes.length === 0) return refuse('the file is empty');
  const coding = codingOf(bytes);
  if (coding === 'wav') return decodeWav(bytes);
  if (coding === null) return refuse('this is no kind of sound file that is known here');
  const load = DECODERS[coding];
  if (!load) return refuse(`${CODING_NAME[coding]} files are not decoded here`);
  const claim = claimedSound(bytes, coding);
  const unfit = (coding === 'mp4' ? mp4Contradiction(bytes) : null) ?? lengthRefusal({ bytes, coding, claim });
  if (unfit) return refuse(unfit);
  let decoder: DecoderModule;
  try {
    decoder = await load();
  } catch {
    return refuse(`the optional package that decodes ${CODING_NAME[coding]} is not installed`);
  }
  const decoded = await oneAtATime(() => quietly(() => decoder.default(bytes)));
  return decoded === null ? refuse(damaged(coding)) : checked(decoded, { bytes, coding, claim });
}

/** One file is in memory twice while it is decoded, and the console is muted for one decoder. */
const oneAtATime = pLimit(1);

/** Runs a decoder without what it prints about a damaged file; null where it gives up. */
async function quietly(decode: () => Promise<DecodedData>): Promise<DecodedData | null> {
  const { error, warn } = console;
  console.error = () => {};
  console.warn = () => {};
  try {
    return await decode();
  } catch {
    return null;
  } finally {
    Object.assign(console, { error, warn });
  }
}

function checked(
  data: DecodedData,
  { bytes, coding, claim }: { bytes: Uint8Array; coding: Coding; claim: ClaimedSound | null },
): Decoded {
  const { channelData, sampleRate: rate_hz } = data;
  const frames = channelData[0]?.length ?? 0;
  if (isBroken(data)) return refuse(damaged(coding));
  if (frames === 0) return refuse(claim ? damaged(coding) : 'it holds no sound');
  const tooLong = memoryRefusal({ frames, channels: channelData.length });
  if (tooLong) return refuse(tooLong);
  if (!(rate_hz >= 1 && rate_hz <= HIGHEST_RATE_HZ)) return refuse(`it states a sample rate of ${rateText(rate_hz)}`);
  if (claim && frames / rate_hz < claim.seconds - Math.max(SHORT_BY_S, SHORT_BY_SHARE * claim.seconds)) {
    const share = Math.floor((100 * frames) / rate_hz / claim.seconds);
    return refuse(`the file is damaged or cut short: ${share} % of the sound its header promises is there`);
  }
  if (channelData.some((channel) => !channel.every(isSample))) return refuse(damaged(coding));
  const codec = coding === 'mp4' ? (mp4Sound(bytes)?.codec ?? '') : '';
  const lossy = coding === 'mp4' ? !isLosslessCodec(codec) : coding !== 'flac';
  return {
    ok: true,
    sound: {
      rate_hz,
      channels: channelData.map((channel) => Float64Array.from(channel)),
      bits: claim?.bits ?? 16,
      sample_format: 'pcm',
      coding: codec ? `${CODING_NAME[coding]} (${codec.trim()})` : CODING_NAME[coding],
      lossy,
    },
  };
}

/** Whether a decoder says that parts are missing, or hands back channels that cannot be of one sound. */
function isBroken({ channelData, errors }: DecodedData): boolean {
  // That for AAC counts them, and counts the first frame, which only starts it, as one.
  const broken = typeof errors === 'number' ? errors > 1 : (errors?.length ?? 0) > 0;
  const frames = channelData[0]?.length ?? 0;
  return broken || channelData.length > MOST_CHANNELS || channelData.some(({ length }) => length !== frames);
}

function rateText(rate_hz: number): string {
  return Number.isFinite(rate_hz) ? `${rate_hz} Hz` : 'no number';
}

/**
 * Why a file is not decoded for its length: that which it claims, or that which its frames unfold to. Files that do not say their rate
 * or channels are taken for stereo at 48 kHz.
 */
function lengthRefusal({
  bytes,
  coding,
  claim,
}: {
  bytes: Uint8Array;
  coding: Coding;
  claim: ClaimedSound | null;
}): string | null {
  const claimed = claim ? claim.seconds * (claim.rate_hz || 48_000) : 0;
  const frames = Math.max(claimed, mostFrames(bytes, coding) ?? 0);
  const channels = coding === 'flac' ? mostFlacChannels(bytes) : 0;
  return memoryRefusal({ frames, channels: Math.max(channels, claim?.channels || 2) });
}

function damaged(coding: Coding): string {
  return `its ${CODING_NAME[coding]} data are damaged or cut short`;
}

function refuse(what: string): Decoded {
  return { ok: false, message: `cannot be read: ${what}; record or export it again as WAV (PCM, 24 bit)` };
}
