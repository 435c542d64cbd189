import { faultMessage } from '../src/audio/fault-messages.ts';
import type { Fault } from '../src/audio/faults.ts';
import type { SourceKind, TakeKind } from '../src/project/project.ts';
import type { ResponseTrace, TakeResult } from '../src/report/results.ts';
import { alignTake } from './align.ts';
import { keep, keepFolder } from './keep.ts';
import { measureTake } from './measure-take.ts';
import { normaliseTake, openTake } from './normalise.ts';
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
 * @param options.channel the channel of the whole project, counted from 1; a channel named for the take stands above it
 * @param options.source what the project says made the sound, null where it does not say
 * @param options.sweep the sweep of the project
 */
export async function analyseTake(
  folder: string,
  take: FoundTake,
  options: TakeSettings,
): Promise<AnalysedTake & { ran: boolean }> {
  const settings = { ...options, channel: take.channel ?? options.channel };
  if (take.sha256 === null) return { ...(await readTake(folder, take, settings)), ran: true };
  const step = { step: 'analyse', version: ANALYSIS_VERSION };
  const { sha256, kind, level_db = null, average = false } = take;
  const sweep = kind === null || kind === 'sweep' ? settings.sweep : null;
  const inputs = { sha256, kind, level_db, average, ...settings, sweep };
  const { value, ran } = await keep(keepFolder(folder), { ...step, inputs }, () => readTake(folder, take, settings));
  return { ...placed(value, take), ran };
}

/** Kept results know the content only; where the file lies is the project's to say. */
function placed({ result, traces }: AnalysedTake, { file, stage, position }: FoundTake): AnalysedTake {
  const place = { file, stage, position };
  return { result: { ...result, ...place }, traces: traces.map((trace) => ({ ...trace, ...place })) };
}

/** What a take is read with, besides what the project says of the take itself. */
export interface TakeSettings {
  channel: number;
  source: SourceKind | null;
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
    traces: traces.map((trace) => ({ ...trace, file, stage, position })),
  };
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
