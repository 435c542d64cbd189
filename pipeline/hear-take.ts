import { faultMessage } from '../src/audio/fault-messages.ts';
import type { Fault } from '../src/audio/faults.ts';
import type { Response } from '../src/audio/response.ts';
import type { SourceKind } from '../src/project/project.ts';
import type { TakeResult } from '../src/report/results.ts';
import { type Beforehand, beforehandRoom, workBeforehand } from '../src/room/beforehand.ts';
import type { BandWidth } from '../src/room/reading.ts';
import type { Room, Workspace } from '../src/signal/workspace.ts';
import { type AlignedTake, alignTake, WITH_RESPONSES } from './align.ts';
import { type NormalisedTake, normaliseTake, type OpenedTake, useTake } from './normalise.ts';
import type { FoundTake } from './read.ts';
import type { SweepFound } from './sweep-file.ts';
import type { TakeMemory } from './take-memory.ts';
import type { AnalysedTake } from './take-parts.ts';

/** Lower rates hold less than the speech bands (and a telephone line). */
const LOWEST_RATE_HZ = 8000;

/** What a take is read with, besides what the project says of the take itself. */
export interface TakeSettings {
  /** Counted from 1. */
  channel: number;
  /** What the project says made the sound, null where it does not say. */
  source: SourceKind | null;
  /** The sweep of the project. */
  sweep: SweepFound;
}

/** A take that was listened to, for another thread to measure: plain data, its samples in memory that all threads see. */
export interface HeardTake {
  take: FoundTake;
  channel: number;
  rate_hz: number;
  seconds: number;
  /** The chosen channel where it is measured whole; empty where responses were cut out of it. */
  samples: Float64Array;
  found: AlignedTake;
  /** What was worked out of each response that is used; null where it is left to who measures. */
  beforehand: (Beforehand | null)[] | null;
}

/** A take that can be measured, or one that is set aside with the reason. */
export type Heard = { heard: HeardTake } | { setAside: AnalysedTake };

/**
 * Listens to one take: decoded, one channel chosen, its kind known, its responses cut out, its faults found. All that is left
 * is to measure it, which is most of the work and may be done by another thread.
 *
 * @param options.beforehand the bands that the responses will be measured in, where what can be is to be worked out beforehand
 */
export async function hearTake(
  folder: string,
  take: FoundTake,
  {
    settings,
    memory,
    beforehand = null,
  }: { settings: TakeSettings; memory: TakeMemory; beforehand?: readonly BandWidth[] | null },
): Promise<Heard> {
  const use = (opened: OpenedTake, workspace: Workspace): Heard => {
    const ready = normalised(take, opened, { channel: settings.channel, workspace });
    if ('setAside' in ready) return ready;
    const found = aligned(ready.sound, take, settings);
    return { heard: copiedOut(take, ready.sound, { found, beforehand, memory }) };
  };
  return useTake(folder, take, { memory, use });
}

function normalised(
  take: FoundTake,
  opened: OpenedTake,
  { channel, workspace }: { channel: number; workspace: Workspace },
): { sound: NormalisedTake } | { setAside: AnalysedTake } {
  if ('fault' in opened) return { setAside: setAside(take, [opened.fault]) };
  const sound = normaliseTake(opened.sound, channel, workspace);
  if (sound === null) {
    const message = `has no channel ${channel}: name another in the project file`;
    return { setAside: setAside(take, [faultMessage('unreadable', { message })]) };
  }
  const { rate_hz, seconds } = sound;
  if (rate_hz >= LOWEST_RATE_HZ) return { sound };
  return { setAside: setAside(take, [faultMessage('rate-too-low', { rate_hz })], { rate_hz, seconds, channel }) };
}

function aligned(sound: NormalisedTake, { kind, average }: FoundTake, settings: TakeSettings): AlignedTake {
  return alignTake(sound, { ...settings, kind, ...(average === undefined ? {} : { average }) });
}

/** The samples that are measured, out of the memory that the next take is decoded into, with what is worked out of them beforehand. */
function copiedOut(
  take: FoundTake,
  { rate_hz, seconds, channel, samples }: NormalisedTake,
  { found, beforehand, memory }: { found: AlignedTake; beforehand: readonly BandWidth[] | null; memory: TakeMemory },
): HeardTake {
  const whole = WITH_RESPONSES.has(found.kind) ? NO_SAMPLES : samples;
  const cut = found.responses.map((response) => (response.used ? response.samples : NO_SAMPLES));
  const more = beforehand === null ? [] : cut.map(({ length }) => beforehandRoom(length));
  const room = memory.room([whole.length, ...cut.map(({ length }) => length), ...more].reduce((sum, n) => sum + n));
  const copied = copyInto(room, whole);
  const responses = found.responses.map((response, i) => ({ ...response, samples: copyInto(room, cut[i]!) }));
  const worked = beforehand && responses.map((response) => workedOut(response, beforehand, room));
  return { take, channel, rate_hz, seconds, samples: copied, found: { ...found, responses }, beforehand: worked };
}

function copyInto(room: Room, samples: Float64Array): Float64Array {
  const copy = room.take(samples.length);
  copy.set(samples);
  return copy;
}

function workedOut(response: Response, widths: readonly BandWidth[], room: Room): Beforehand | null {
  return response.used ? workBeforehand(response.samples, { ...response, widths, room }) : null;
}

const NO_SAMPLES = new Float64Array(0);

/** What is known of a take before it is opened. */
export function entryOf({ file, sha256, stage, position }: FoundTake) {
  return { file, sha256, stage, position };
}

/** A take of which nothing is used, with the reasons. */
export function setAside(
  take: FoundTake,
  faults: Fault[],
  known: Partial<Pick<TakeResult, 'rate_hz' | 'seconds' | 'channel'>> = {},
): AnalysedTake {
  const nothing = { rate_hz: null, seconds: null, channel: null };
  return {
    result: { ...entryOf(take), kind: take.kind, ...nothing, ...known, used: false, faults, responses: [] },
    traces: [],
  };
}
