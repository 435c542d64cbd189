import { faultMessage } from '../src/audio/fault-messages.ts';
import type { Fault } from '../src/audio/faults.ts';
import type { Response } from '../src/audio/response.ts';
import type { SourceKind } from '../src/project/project.ts';
import type { ResponseResult, ResponseTrace, TakeResult } from '../src/report/results.ts';
import { readResponse } from '../src/room/read-response.ts';
import type { BandWidth } from '../src/room/reading.ts';
import { alignTake } from './align.ts';
import { keep, keepFolder } from './keep.ts';
import { normaliseTake, openTake } from './normalise.ts';
import type { FoundTake } from './read.ts';

/** Raised whenever a take would be read otherwise than before. */
const ANALYSIS_VERSION = 2;
const WIDTHS: readonly BandWidth[] = ['octave', 'third-octave'];
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
 */
export async function analyseTake(
  folder: string,
  take: FoundTake,
  options: { channel: number; source: SourceKind | null },
): Promise<AnalysedTake & { ran: boolean }> {
  const settings = { channel: take.channel ?? options.channel, source: options.source };
  if (take.sha256 === null) return { ...(await readTake(folder, take, settings)), ran: true };
  const step = { step: 'analyse', version: ANALYSIS_VERSION };
  const inputs = { sha256: take.sha256, kind: take.kind, ...settings };
  const { value, ran } = await keep(keepFolder(folder), { ...step, inputs }, () => readTake(folder, take, settings));
  return { ...placed(value, take), ran };
}

/** Kept results know the content only; where the file lies is the project's to say. */
function placed({ result, traces }: AnalysedTake, { file, stage, position }: FoundTake): AnalysedTake {
  const place = { file, stage, position };
  return { result: { ...result, ...place }, traces: traces.map((trace) => ({ ...trace, ...place })) };
}

interface TakeSettings {
  channel: number;
  source: SourceKind | null;
}

async function readTake(folder: string, take: FoundTake, { channel, source }: TakeSettings): Promise<AnalysedTake> {
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
  const aligned = alignTake(normalised, { kind: take.kind, source });
  const read = aligned.responses.map((response) => readOne(take, response));
  const used = read.some(({ result }) => result.used) && !aligned.faults.some((fault) => fault.severity === 'reject');
  return {
    result: {
      ...entry(take),
      ...known,
      kind: aligned.kind,
      used,
      faults: aligned.faults,
      responses: read.map(({ result }) => result),
    },
    traces: read.flatMap(({ trace }) => trace ?? []),
  };
}

function readOne(take: FoundTake, response: Response): { result: ResponseResult; trace: ResponseTrace | null } {
  const { onset_s, used, faults } = response;
  if (!used) return { result: { onset_s, used, faults, bands: [], reflections: [] }, trace: null };
  const { rate_hz, zero_sample } = response;
  const { bands, reflections, curves, early } = readResponse(response.samples, {
    rate_hz,
    zero_sample,
    widths: WIDTHS,
  });
  return {
    result: { onset_s, used, faults, bands, reflections },
    trace: { file: take.file, stage: take.stage, position: take.position, onset_s, curves, early },
  };
}

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
