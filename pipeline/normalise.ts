import { type FileHandle, open, readFile, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { type ChannelRank, chooseChannel, rankChannels } from '../src/audio/choose-channel.ts';
import { codingOf } from '../src/audio/coding.ts';
import { type Decoded, decodeWav } from '../src/audio/decode-wav.ts';
import { faultMessage } from '../src/audio/fault-messages.ts';
import type { Fault } from '../src/audio/faults.ts';
import type { Sound } from '../src/audio/sound.ts';
import { wavChannelCount } from '../src/audio/wav-chunks.ts';
import { Workspace } from '../src/signal/workspace.ts';
import { decodeAudio } from './decode.ts';
import type { FoundTake } from './read.ts';
import { systemReason } from './system-reason.ts';
import type { TakeMemory } from './take-memory.ts';

/** The bytes of a recording are in memory beside its samples: with the bound on those, this keeps a run under a gigabyte and a half. */
export const LARGEST_RECORDING_BYTES = 120_000_000;
/** From here on a take is read while no other large one is: a quarter of a gigabyte of samples, if it is WAV. */
const LARGE_BYTES = 24_000_000;
/** What compressed files need less of. */
const COMPRESSION = 6;

/** A take ready to be cut: one channel, its constant offset taken away, nothing else altered. */
export interface NormalisedTake {
  rate_hz: number;
  seconds: number;
  samples: Float64Array;
  /** Counted from 1. */
  channel: number;
  channels: number;
  /** As a share of full scale; taken away. */
  dc_offset: number;
  sound: Sound;
}

/** A take as decoded, or why it cannot be. */
export type OpenedTake = { sound: Sound } | { fault: Fault };

/**
 * Reads a recording and decodes it. The file is opened for reading only.
 * What cannot be read is a fault with its mend, never thrown.
 */
export async function openTake(folder: string, take: Pick<FoundTake, 'file'>): Promise<OpenedTake> {
  const read = await bytesOf(folder, take);
  return 'fault' in read ? read : decodedTake(await decodeAudio(read.bytes));
}

/** Samples of one take after the other: those of the file's first channels, and the chosen channel. */
const decoded = [new Workspace(), new Workspace()];
const chosen = new Workspace();

/**
 * The same for a use that waits for nothing and keeps nothing of the sound: the file then lies in `memory`, its samples where those of the
 * next take will, and a chosen channel may lie in `workspace`. Getting megabytes from the system for each take, and giving them back, was
 * seen to cost an eighth of a first `check`.
 */
export async function useTake<T>(
  folder: string,
  take: Pick<FoundTake, 'file'>,
  { memory, use }: { memory: TakeMemory; use: (opened: OpenedTake, workspace: Workspace) => T },
): Promise<T> {
  const read = await bytesOf(folder, take, memory);
  if ('fault' in read) return use(read, chosen);
  // From the decoding to the end of the use nothing is waited for, so that no other take comes between.
  if (codingOf(read.bytes) === 'wav') return use(decodedTake(decodeWav(read.bytes, decoded)), chosen);
  return use(decodedTake(await decodeAudio(read.bytes)), chosen);
}

const unreadable = (message: string) => ({ fault: faultMessage('unreadable', { message }) });

function decodedTake(decoded: Decoded): OpenedTake {
  return decoded.ok ? { sound: decoded.sound } : unreadable(decoded.message);
}

async function bytesOf(
  folder: string,
  take: Pick<FoundTake, 'file'>,
  memory?: TakeMemory,
): Promise<{ bytes: Uint8Array } | { fault: Fault }> {
  const path = join(folder, take.file);
  try {
    const { size } = await stat(path);
    if (size > LARGEST_RECORDING_BYTES) {
      const [found, most] = [size, LARGEST_RECORDING_BYTES].map((bytes) => Math.round(bytes / 1e6));
      return unreadable(`${found} MB long, ${most} MB is the most that is read: cut the recording into shorter files`);
    }
    return { bytes: memory ? await readInto(path, memory.file(size)) : await readFile(path) };
  } catch (fault) {
    return unreadable(`cannot be opened: ${systemReason(fault)}`);
  }
}

/** As much of a file as there is room for, or as there is. */
async function readInto(path: string, room: Uint8Array): Promise<Uint8Array> {
  const file = await open(path, 'r');
  try {
    return room.subarray(0, await fill(file, room));
  } finally {
    await file.close();
  }
}

async function fill(file: FileHandle, room: Uint8Array): Promise<number> {
  let filled = 0;
  while (filled < room.length) {
    const { bytesRead } = await file.read(room, filled, room.length - filled, filled);
    if (bytesRead === 0) break;
    filled += bytesRead;
  }
  return filled;
}

/** Whether a take is so large that two at once would be too much for memory; false where it cannot be told. */
export async function isLargeTake(folder: string, { file }: Pick<FoundTake, 'file'>): Promise<boolean> {
  const bound = /\.wave?$/i.test(file) ? LARGE_BYTES : LARGE_BYTES / COMPRESSION;
  return stat(join(folder, file)).then(
    ({ size }) => size > bound,
    () => false,
  );
}

/**
 * One channel of a decoded take with its constant offset taken away; null where the sound has no such channel.
 *
 * @param workspace holds the samples, until it is used again; left out, they have memory of their own
 */
export function normaliseTake(sound: Sound, channel: number, workspace?: Workspace): NormalisedTake | null {
  const chosen = chooseChannel(sound, channel, workspace);
  return (
    chosen && {
      rate_hz: sound.rate_hz,
      seconds: chosen.samples.length / sound.rate_hz,
      samples: chosen.samples,
      channel,
      channels: sound.channels.length,
      dc_offset: chosen.dc_offset,
      sound,
    }
  );
}

/** The channels of a take from the fittest to the least fit, or null where it cannot be read. */
export async function channelsOf(folder: string, take: FoundTake): Promise<ChannelRank[] | null> {
  const opened = await openTake(folder, take);
  return 'sound' in opened ? rankChannels(opened.sound) : null;
}

/** Enough of a file to hold the format chunk of any WAV but a strange one. */
const HEADER_BYTES = 4096;

/** Whether a take is a WAV file of one channel, by its header alone; false also where that cannot be told. */
export async function isMonoWav(folder: string, take: FoundTake): Promise<boolean> {
  try {
    const file = await open(join(folder, take.file), 'r');
    try {
      const head = new Uint8Array(HEADER_BYTES);
      const { bytesRead } = await file.read(head, 0, HEADER_BYTES, 0);
      return wavChannelCount(head.subarray(0, bytesRead)) === 1;
    } finally {
      await file.close();
    }
  } catch (fault) {
    systemReason(fault);
    return false;
  }
}
