import wavefile from 'wavefile';
import { Workspace } from '../signal/workspace.ts';
import { memoryRefusal } from './reading-memory.ts';
import type { Sound } from './sound.ts';
import { type WavChunks, wavChunks } from './wav-chunks.ts';

export type Decoded = { ok: true; sound: Sound } | { ok: false; message: string };

interface WavFormat {
  audioFormat: number;
  numChannels: number;
  sampleRate: number;
  blockAlign: number;
  bitsPerSample: number;
  validBitsPerSample: number;
  subformat: number[];
}

/** Format tags of the WAVE registry (RFC 2361; Multimedia Programming Interface and Data Specifications 1.0, 1991). */
const PCM = 1;
const FLOAT = 3;
const A_LAW = 6;
const MU_LAW = 7;
const IMA_ADPCM = 17;
const EXTENSIBLE = 0xfffe;

const MOST_CHANNELS = 64;
/** 200 dB over full scale: even integers of 32 bits written as they are stay below, and the squares of samples stay numbers. */
const LARGEST_SAMPLE = 1e10;
const HIGHEST_RATE_HZ = 1_000_000;

/**
 * A WAV file as samples: PCM of 8, 16, 24 and 32 bits, float of 32 and 64 bits, plain or extensible, RIFF, RIFX or RF64;
 * A-law, mu-law and IMA ADPCM, which are marked as lossy. Full scale is 1 (so 16-bit samples are divided by 32768).
 *
 * The chunk walk is our own, so that lying sizes are caught before anything is read; the format chunk and the telephone
 * codings are decoded by the wavefile library; PCM and float are read straight from the bytes given, which are not kept.
 *
 * @param memory holds the samples of the first channels, until it is used again; left out, they have memory of their own
 * @returns the sound, or `ok: false` with a sentence naming what is wrong and the mend. Never throws.
 */
export function decodeWav(bytes: Uint8Array, memory: readonly Workspace[] = []): Decoded {
  const chunks = wavChunks(bytes);
  if (typeof chunks === 'string') return refuse(chunks);
  try {
    const wav = new wavefile.WaveFile();
    wav.fromBuffer(compactFile(bytes, chunks, 0), false);
    return decodeData({ bytes, chunks, memory }, wav.fmt as WavFormat);
  } catch {
    return refuse('its format chunk cannot be read');
  }
}

interface WavFile {
  bytes: Uint8Array;
  chunks: WavChunks;
  memory: readonly Workspace[];
}

function decodeData({ bytes, chunks, memory }: WavFile, format: WavFormat): Decoded {
  const { numChannels: channelCount, sampleRate: rate_hz, bitsPerSample } = format;
  if (channelCount < 1) return refuse('its header says it has no channels');
  if (channelCount > MOST_CHANNELS) return refuse(`its header says it has ${channelCount} channels`);
  if (rate_hz < 1 || rate_hz > HIGHEST_RATE_HZ) return refuse(`its header gives a sample rate of ${rate_hz} Hz`);
  const tag = format.audioFormat === EXTENSIBLE ? (format.subformat[0] ?? 0) & 0xffff : format.audioFormat;
  if (tag === A_LAW || tag === MU_LAW || tag === IMA_ADPCM) return decodeTelephone(bytes, chunks, format, tag);
  const readable = (tag === PCM && [8, 16, 24, 32].includes(bitsPerSample)) || (tag === FLOAT && bitsPerSample >= 32);
  if (!readable || bitsPerSample > 64) return refuse(`its coding (format ${tag}, ${bitsPerSample} bits) is not known`);
  const sampleBytes = bitsPerSample / 8;
  const frameBytes = sampleBytes * channelCount;
  const frames = Math.floor(chunks.data.size / frameBytes);
  if (format.blockAlign !== frameBytes) {
    return refuse(`its header contradicts itself: ${format.blockAlign} bytes a frame, ${frameBytes} expected`);
  }
  if (frames === 0) return refuse('it holds no sound');
  const tooLong = memoryRefusal({ frames, channels: channelCount });
  if (tooLong !== null) return refuse(tooLong);
  const data = new DataView(bytes.buffer, bytes.byteOffset + chunks.data.start, frames * frameBytes);
  const coding = { tag, bitsPerSample, littleEndian: chunks.container !== 'RIFX' };
  const inPlace = samplesInPlace(data, coding);
  const readSample = sampleReader(data, coding);
  const channels: Float64Array[] = [];
  for (let channel = 0; channel < channelCount; channel++) {
    const samples = (memory[channel] ?? new Workspace()).take(frames);
    if (inPlace) {
      const { values, scale } = inPlace;
      for (let frame = 0, at = channel; frame < frames; frame++, at += channelCount)
        samples[frame] = values[at]! * scale;
    } else if (tag === PCM && bitsPerSample === 24 && coding.littleEndian) {
      read24Bits(samples, data, { at: channel * sampleBytes, frameBytes });
    } else {
      for (let frame = 0, at = channel * sampleBytes; frame < frames; frame++, at += frameBytes) {
        samples[frame] = readSample(at);
      }
    }
    const broken = tag === FLOAT ? samples.findIndex((value) => !isSample(value)) : -1;
    if (broken >= 0) {
      const what = Number.isFinite(samples[broken]) ? 'is beyond all full scales' : 'is not a number';
      return refuse(`sample ${broken + 1} at ${(broken / rate_hz).toFixed(3)} s ${what}, so the file is damaged`);
    }
    channels.push(samples);
  }
  const validBits = format.validBitsPerSample;
  const bits = tag === PCM && validBits > 0 && validBits < bitsPerSample ? validBits : bitsPerSample;
  const sample_format = tag === PCM ? 'pcm' : 'float';
  return { ok: true, sound: { rate_hz, channels, bits, sample_format, coding: 'WAV', lossy: false } };
}

interface SampleCoding {
  tag: number;
  bitsPerSample: number;
  littleEndian: boolean;
}

const MACHINE_IS_LITTLE_ENDIAN = new Uint8Array(Uint16Array.of(1).buffer)[0] === 1;

/** The samples as they lie in the file, where they lie as the machine would have them: four times as fast as one by one. */
function samplesInPlace(
  { buffer, byteOffset, byteLength }: DataView,
  { tag, bitsPerSample, littleEndian }: SampleCoding,
): { values: Int16Array | Int32Array | Float32Array; scale: number } | null {
  const bytes = bitsPerSample / 8;
  if (littleEndian !== MACHINE_IS_LITTLE_ENDIAN || byteOffset % bytes !== 0) return null;
  const count = byteLength / bytes;
  if (tag === FLOAT && bitsPerSample === 32) return { values: new Float32Array(buffer, byteOffset, count), scale: 1 };
  if (tag === PCM && bitsPerSample === 16)
    return { values: new Int16Array(buffer, byteOffset, count), scale: 2 ** -15 };
  if (tag === PCM && bitsPerSample === 32)
    return { values: new Int32Array(buffer, byteOffset, count), scale: 2 ** -31 };
  return null;
}

/** Samples of 24 bits, least byte first: what recorders write most, read byte by byte in three quarters of the time. */
function read24Bits(out: Float64Array, data: DataView, { at, frameBytes }: { at: number; frameBytes: number }): void {
  const bytes = new Uint8Array(data.buffer, data.byteOffset, data.byteLength);
  for (let frame = 0, byte = at; frame < out.length; frame++, byte += frameBytes) {
    // At the top of 32 bits the sign comes out by itself.
    const value = (bytes[byte]! << 8) | (bytes[byte + 1]! << 16) | (bytes[byte + 2]! << 24);
    out[frame] = value * 2 ** -31;
  }
}

/** Whether a number can be a sample of sound. */
export function isSample(value: number): boolean {
  return Math.abs(value) <= LARGEST_SAMPLE;
}

function sampleReader(view: DataView, { tag, bitsPerSample, littleEndian }: SampleCoding): (at: number) => number {
  if (tag === FLOAT) {
    return bitsPerSample === 64 ? (at) => view.getFloat64(at, littleEndian) : (at) => view.getFloat32(at, littleEndian);
  }
  switch (bitsPerSample) {
    case 8:
      return (at) => (view.getUint8(at) - 128) / 128;
    case 16:
      return (at) => view.getInt16(at, littleEndian) / 32768;
    case 24:
      return (at) => ((view.getInt8(at) << 16) | view.getUint16(at + 1, false)) / 8388608;
    default:
      return (at) => view.getInt32(at, littleEndian) / 2147483648;
  }
}

function decodeTelephone(bytes: Uint8Array, chunks: WavChunks, format: WavFormat, tag: number): Decoded {
  const frames = ((tag === IMA_ADPCM ? 2 : 1) * chunks.data.size) / format.numChannels;
  const tooLong = memoryRefusal({ frames, channels: format.numChannels });
  if (tooLong !== null) return refuse(tooLong);
  const wav = new wavefile.WaveFile();
  try {
    wav.fromBuffer(compactFile(bytes, chunks, chunks.data.size));
    if (tag === A_LAW) wav.fromALaw();
    else if (tag === MU_LAW) wav.fromMuLaw();
    else wav.fromIMAADPCM();
  } catch {
    return refuse('its compressed sound cannot be decoded');
  }
  const decoded: ArrayLike<ArrayLike<number>> | Float64Array = wav.getSamples(false, Float64Array);
  const channels = (format.numChannels === 1 ? [decoded] : Array.from(decoded as ArrayLike<unknown>)) as Float64Array[];
  if (channels.some((channel) => channel.length === 0)) return refuse('it holds no sound');
  const coding = tag === A_LAW ? 'WAV with A-law' : tag === MU_LAW ? 'WAV with mu-law' : 'WAV with ADPCM';
  const scaled = channels.map((channel) => channel.map((value) => value / 32768));
  return {
    ok: true,
    sound: { rate_hz: format.sampleRate, channels: scaled, bits: 16, sample_format: 'pcm', coding, lossy: true },
  };
}

/** A WAV file of nothing but the format chunk and the first bytes of the data, whatever else the original carries. */
function compactFile(bytes: Uint8Array, chunks: WavChunks, dataBytes: number): Uint8Array {
  const { format, data } = chunks;
  const littleEndian = chunks.container !== 'RIFX';
  const file = new Uint8Array(28 + format.size + dataBytes);
  const view = new DataView(file.buffer);
  const put = (letters: string, at: number) => {
    for (let i = 0; i < 4; i++) file[at + i] = letters.charCodeAt(i);
  };
  put(littleEndian ? 'RIFF' : 'RIFX', 0);
  view.setUint32(4, file.length - 8, littleEndian);
  put('WAVE', 8);
  file.set(bytes.subarray(format.start - 8, format.start + format.size), 12);
  put('data', 20 + format.size);
  view.setUint32(24 + format.size, dataBytes, littleEndian);
  file.set(bytes.subarray(data.start, data.start + dataBytes), 28 + format.size);
  return file;
}

function refuse(what: string): Decoded {
  return { ok: false, message: `cannot be read: ${what}; record or export it again as WAV (PCM, 24 bit)` };
}
