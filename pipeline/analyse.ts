import { faultMessage } from '../src/audio/fault-messages.ts';
import type { Fault } from '../src/audio/faults.ts';
import type { SourceKind, TakeKind } from '../src/project/project.ts';
import type { ResponseTrace, TakeResult } from '../src/report/results.ts';
import type { BandWidth } from '../src/room/reading.ts';
import { Workspace } from '../src/signal/workspace.ts';
import { type AlignedTake, alignTake } from './align.ts';
import { isKept, keepFolder, keepText, type StepInputs } from './keep.ts';
import { measureTake, measureThirds, type ReadBands } from './measure-take.ts';
import { type NormalisedTake, normaliseTake, type OpenedTake, useTake } from './normalise.ts';
import type { Pool } from './pool.ts';
import type { FoundTake } from './read.ts';
import type { SweepFound } from './sweep-file.ts';
import {
  type AnalysedTake,
  joinedTake,
  type KeptTake,
  type KeptThirds,
  takeOfKept,
  thirdsOfKept,
} from './take-parts.ts';
import type * as worker from './worker.ts';

/** Raised whenever a take would be read otherwise than before. */
const ANALYSIS_VERSION = 7;
/** Lower rates hold less than the speech bands (and a telephone line). */
const LOWEST_RATE_HZ = 8000;

/** A take as it was analysed, and whether it was read for that. */
export type AnalysedNow = AnalysedTake & { ran: boolean };

/**
 * One take from file to readings: decoded, one channel chosen, cut into responses, each response read band by band. Kept by the
 * content of the recording, so a second run costs nothing; the third octaves are kept apart, so that `check` need not read them. What is
 * wrong with a take is a fault in its result, never thrown.
 *
 * @param options.settings what it is read with; a channel named for the take stands above that of the project
 * @param options.widths the octaves, or these and the third octaves
 * @param options.pool where it is read if it is not kept
 */
export async function analyseTake(
  folder: string,
  take: FoundTake,
  { settings, widths, pool }: { settings: TakeSettings; widths: readonly BandWidth[]; pool: Pool },
): Promise<AnalysedNow> {
  const own = settingsOf(take, settings);
  if (take.sha256 === null) return { ...(await readTake(folder, take, { settings: own, widths })), ran: true };
  const job = { folder, take, settings: own };
  let read: ReturnType<typeof worker.readTake> | undefined;
  const octaves = await keepText<KeptTake>(keepFolder(folder), stepOf('analyse', take, own), async () => {
    read = pool.run('readTake', { ...job, widths });
    return (await read).octaves;
  });
  const here = placed(takeOfKept(octaves.value), take);
  if (!widths.includes('third-octave')) return { ...here, ran: octaves.ran };
  const thirds = await keepText<KeptThirds>(keepFolder(folder), stepOf('thirds', take, own), async () => {
    return read === undefined ? pool.run('readThirds', job) : (await read).thirds;
  });
  return { ...joinedTake({ octaves: here, thirds: thirdsOfKept(thirds.value) }), ran: octaves.ran || thirds.ran };
}

/** Whether a take is kept, so that it need not be read. */
export async function isAnalysed(
  folder: string,
  take: FoundTake,
  { settings, widths }: { settings: TakeSettings; widths: readonly BandWidth[] },
): Promise<boolean> {
  const steps = widths.includes('third-octave') ? (['analyse', 'thirds'] as const) : (['analyse'] as const);
  const there = await Promise.all(
    steps.map((step) => isKept(keepFolder(folder), stepOf(step, take, settingsOf(take, settings)))),
  );
  return there.every(Boolean);
}

function settingsOf(take: FoundTake, settings: TakeSettings): TakeSettings {
  return { ...settings, channel: take.channel ?? settings.channel };
}

function stepOf(step: 'analyse' | 'thirds', take: FoundTake, settings: TakeSettings): StepInputs {
  const { file, sha256, kind, level_db = null, average = false } = take;
  const sweep = kind === null || kind === 'sweep' ? settings.sweep : null;
  const inputs = { sha256, kind, level_db, average, ...settings, sweep };
  return { step, version: ANALYSIS_VERSION, subject: file, inputs };
}

/** Kept results know the content only; where the file lies is the project's to say. */
function placed({ result, traces }: AnalysedTake, { file, stage, position }: FoundTake): AnalysedTake {
  const place = { file, stage, position };
  return { result: { ...result, ...place }, traces: traces.map((trace) => ({ ...trace, ...place })) };
}

/** What a take is read with, besides what the project says of the take itself. */
export interface TakeSettings {
  /** Counted from 1. */
  channel: number;
  /** What the project says made the sound, null where it does not say. */
  source: SourceKind | null;
  /** The sweep of the project. */
  sweep: SweepFound;
}

type Prepared = { normalised: NormalisedTake } | { setAside: AnalysedTake };

/** Samples of one take after the other: those of the file's first channels, and the chosen channel. */
const memory = { decoded: [new Workspace(), new Workspace()], chosen: new Workspace() };

function prepared(take: FoundTake, opened: OpenedTake, channel: number): Prepared {
  if ('fault' in opened) return { setAside: setAside(take, [opened.fault]) };
  const normalised = normaliseTake(opened.sound, channel, memory.chosen);
  if (normalised === null) {
    const message = `has no channel ${channel}: name another in the project file`;
    return { setAside: setAside(take, [faultMessage('unreadable', { message })]) };
  }
  const { rate_hz, seconds } = normalised;
  if (rate_hz >= LOWEST_RATE_HZ) return { normalised };
  return { setAside: setAside(take, [faultMessage('rate-too-low', { rate_hz })], { rate_hz, seconds, channel }) };
}

function aligned(normalised: NormalisedTake, { kind, average }: FoundTake, settings: TakeSettings): AlignedTake {
  return alignTake(normalised, { ...settings, kind, ...(average === undefined ? {} : { average }) });
}

/** Reads a take without looking at what is kept. */
export async function readTake(
  folder: string,
  take: FoundTake,
  options: { settings: TakeSettings; widths: readonly BandWidth[] },
): Promise<AnalysedTake> {
  return useTake(folder, take, { memory: memory.decoded, use: (opened) => readOpened(take, opened, options) });
}

function readOpened(
  take: FoundTake,
  opened: OpenedTake,
  { settings, widths }: { settings: TakeSettings; widths: readonly BandWidth[] },
): AnalysedTake {
  const { channel } = settings;
  const ready = prepared(take, opened, channel);
  if ('setAside' in ready) return ready.setAside;
  const { normalised } = ready;
  const { rate_hz, seconds } = normalised;
  const found = aligned(normalised, take, settings);
  const { faults, traces, ...measured } = measureTake(normalised, found, { level_db: take.level_db, widths });
  const all = [...faults, ...found.faults];
  const readable =
    measured.responses.length > 0
      ? measured.responses.some((response) => response.used)
      : MEASURED_WHOLE.has(found.kind);
  const used = readable && !all.some((fault) => fault.severity === 'reject');
  const { file, stage, position } = take;
  return {
    result: { ...entry(take), rate_hz, seconds, channel, kind: found.kind, used, faults: all, ...measured },
    traces: traces.map((trace) => ({ ...drawable(trace), file, stage, position })),
  };
}

/** The third octaves alone of a take whose octaves were read before. */
export async function readThirds(folder: string, take: FoundTake, settings: TakeSettings): Promise<ReadBands[]> {
  const use = (opened: OpenedTake) => {
    const ready = prepared(take, opened, settings.channel);
    return 'setAside' in ready ? [] : measureThirds(aligned(ready.normalised, take, settings));
  };
  const thirds = await useTake(folder, take, { memory: memory.decoded, use });
  return thirds.map(({ bands, curves }) => ({ bands, curves: curves.map(rounded) }));
}

/** Levels to a thousandth of a decibel: what is drawn is far coarser, and what is kept is a third as long. */
function rounded<Curve extends { level_db: number[] }>(curve: Curve): Curve {
  return { ...curve, level_db: curve.level_db.map((level) => Math.round(level * 1000) / 1000) };
}

function drawable<Trace extends Pick<ResponseTrace, 'curves' | 'early'>>(trace: Trace): Trace {
  return { ...trace, curves: trace.curves.map(rounded), early: rounded(trace.early) };
}

/** Kinds that have no responses. */
const MEASURED_WHOLE: ReadonlySet<TakeKind> = new Set(['background', 'calibration', 'passage']);

function entry({ file, sha256, stage, position }: FoundTake) {
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
    result: { ...entry(take), kind: take.kind, ...nothing, ...known, used: false, faults, responses: [] },
    traces: [],
  };
}
