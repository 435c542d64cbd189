import { faultMessage } from '../src/audio/fault-messages.ts';
import type { Fault } from '../src/audio/faults.ts';
import type { SourceKind, TakeKind } from '../src/project/project.ts';
import type { ResponseTrace, TakeResult } from '../src/report/results.ts';
import { alignTake } from './align.ts';
import { isKept, keepFolder, keepText, type StepInputs } from './keep.ts';
import { measureTake } from './measure-take.ts';
import { normaliseTake, openTake } from './normalise.ts';
import type { Pool } from './pool.ts';
import type { FoundTake } from './read.ts';
import type { SweepFound } from './sweep-file.ts';

/** Raised whenever a take would be read otherwise than before. */
const ANALYSIS_VERSION = 3;
/** Lower rates hold less than the speech bands (and a telephone line). */
const LOWEST_RATE_HZ = 8000;

/** What a take gave: its entry in results.json, and the traces that charts draw. */
export interface AnalysedTake {
  result: TakeResult;
  traces: ResponseTrace[];
}

/**
 * One take from file to readings: decoded, one channel chosen, cut into responses, each response read band by band. Kept by the
 * content of the recording, so a second run costs nothing. What is wrong with a take is a fault in its result, never thrown.
 *
 * @param options.settings what it is read with; a channel named for the take stands above that of the project
 * @param options.pool where it is read if it is not kept
 */
export async function analyseTake(
  folder: string,
  take: FoundTake,
  { settings, pool }: { settings: TakeSettings; pool: Pool },
): Promise<AnalysedTake & { ran: boolean }> {
  const own = settingsOf(take, settings);
  if (take.sha256 === null) return { ...(await readTake(folder, take, own)), ran: true };
  const make = () => pool.run('readTake', { folder, take, settings: own });
  const { value, ran } = await keepText<AnalysedTake>(keepFolder(folder), stepOf(take, own), make);
  return { ...placed(value, take), ran };
}

/** Whether a take is kept, so that it need not be read. */
export function isAnalysed(folder: string, take: FoundTake, settings: TakeSettings): Promise<boolean> {
  return isKept(keepFolder(folder), stepOf(take, settingsOf(take, settings)));
}

function settingsOf(take: FoundTake, settings: TakeSettings): TakeSettings {
  return { ...settings, channel: take.channel ?? settings.channel };
}

function stepOf(take: FoundTake, settings: TakeSettings): StepInputs {
  const { file, sha256, kind, level_db = null, average = false } = take;
  const sweep = kind === null || kind === 'sweep' ? settings.sweep : null;
  const inputs = { sha256, kind, level_db, average, ...settings, sweep };
  return { step: 'analyse', version: ANALYSIS_VERSION, subject: file, inputs };
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

/** Reads a take without looking at what is kept. */
export async function readTake(folder: string, take: FoundTake, settings: TakeSettings): Promise<AnalysedTake> {
  const { channel } = settings;
  const opened = await openTake(folder, take);
  if ('fault' in opened) return setAside(take, [opened.fault]);
  const normalised = normaliseTake(opened.sound, channel);
  if (normalised === null) {
    const message = `has no channel ${channel}: name another in the project file`;
    return setAside(take, [faultMessage('unreadable', { message })]);
  }
  const { rate_hz, seconds } = normalised;
  const known = { rate_hz, seconds, channel };
  if (rate_hz < LOWEST_RATE_HZ) return setAside(take, [faultMessage('rate-too-low', { rate_hz })], known);
  const { kind, average } = take;
  const aligned = alignTake(normalised, { ...settings, kind, ...(average === undefined ? {} : { average }) });
  const { faults, traces, ...measured } = measureTake(normalised, aligned, { level_db: take.level_db });
  const all = [...faults, ...aligned.faults];
  const found =
    measured.responses.length > 0
      ? measured.responses.some((response) => response.used)
      : MEASURED_WHOLE.has(aligned.kind);
  const used = found && !all.some((fault) => fault.severity === 'reject');
  const { file, stage, position } = take;
  return {
    result: { ...entry(take), ...known, kind: aligned.kind, used, faults: all, ...measured },
    traces: traces.map((trace) => ({ ...drawable(trace), file, stage, position })),
  };
}

/** Levels to a thousandth of a decibel: what is drawn is far coarser, and what is kept is a third as long. */
function drawable<Trace extends Pick<ResponseTrace, 'curves' | 'early'>>(trace: Trace): Trace {
  const rounded = <Curve extends { level_db: number[] }>(curve: Curve): Curve => {
    return { ...curve, level_db: curve.level_db.map((level) => Math.round(level * 1000) / 1000) };
  };
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
