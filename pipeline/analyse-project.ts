import pLimit from 'p-limit';
import { projectChannel } from '../src/audio/choose-channel.ts';
import { faultMessage } from '../src/audio/fault-messages.ts';
import type { Fault } from '../src/audio/faults.ts';
import { duplicateTakes } from '../src/project/duplicate-takes.ts';
import type { Project, SourceKind } from '../src/project/project.ts';
import type { ResponseTrace, TakeResult } from '../src/report/results.ts';
import { settleBackgrounds } from '../src/report/settle-backgrounds.ts';
import { BAND_WIDTHS, type BandWidth } from '../src/room/reading.ts';
import { type AnalysedNow, analyseTake, isAnalysed, takeInputs } from './analyse.ts';
import { averageDecays } from './average-decays.ts';
import { digest } from './digest.ts';
import { setAside, type TakeSettings } from './hear-take.ts';
import { isKept, keep, keepFolder, type StepInputs } from './keep.ts';
import { isMonoWav } from './normalise.ts';
import { openPool, type Pool } from './pool.ts';
import type { FoundTake, ReadProject } from './read.ts';
import { readSweep } from './sweep-file.ts';

/** So many kept results are looked up at once; how many takes are read at once is the pool's affair. */
const LOOKED_UP_AT_ONCE = 16;
/** Raised whenever the channels of a recording would be ranked otherwise than before. */
const CHANNELS_VERSION = 1;

export interface AnalysedProject {
  takes: TakeResult[];
  traces: ResponseTrace[];
  /** A fingerprint of all that each take's entry comes from, by its file. */
  made_from: Record<string, string>;
  /** Takes that were read anew, the others having been kept from an earlier run. */
  ran: number;
}

export interface AnalyseOptions {
  /** Called as each take is done, for the progress shown. */
  onTake?: (done: number, total: number, take: TakeResult) => void;
  /** Called once it is known how many takes must be read, the others being kept. */
  onMissing?: (count: number) => void;
  /** Where takes are read; left out, in this thread. */
  pool?: Pool;
  /** Left out, the octaves and the third octaves. */
  widths?: readonly BandWidth[];
}

/**
 * Every take of a project analysed, in the order of the project. One channel serves all takes, so that stages are compared through
 * the same microphone; the same recording found twice counts once.
 */
export async function analyseProject(
  { folder, project, takes }: Pick<ReadProject, 'folder' | 'project' | 'takes'>,
  options: AnalyseOptions = {},
): Promise<AnalysedProject> {
  const {
    onTake = () => undefined,
    onMissing = () => undefined,
    pool = openPool({ jobs: 1 }),
    widths = BAND_WIDTHS,
  } = options;
  const wanted = takes.filter((take) => take.set_aside === undefined);
  const duplicates = duplicateTakes(wanted);
  const single = wanted.filter((take) => !duplicates.has(take.file));
  const channel = await channelOfProject(folder, wanted, pool);
  const sweep = await readSweep(folder);
  const settingsOf = ({ stage }: FoundTake): TakeSettings => ({ channel, sweep, source: sourceOf(project, stage) });
  const isThere = (take: FoundTake) => isAnalysed(folder, take, { settings: settingsOf(take), widths });
  const missing = new Set(await missingTakes(single, isThere));
  pool.expect(missing.size);
  onMissing(missing.size);
  const limit = pLimit(LOOKED_UP_AT_ONCE);
  let done = 0;
  let ran = 0;
  const analyse = async (take: FoundTake): Promise<AnalysedNow> => {
    const unused = faultOfUnused(take, duplicates);
    const one =
      unused === null
        ? await analyseTake(folder, take, { settings: settingsOf(take), widths, pool })
        : { ...setAside(take, [unused]), ran: false };
    if (one.ran) ran++;
    onTake(++done, takes.length, one.result);
    return one;
  };
  // What must be read comes first: while other threads measure it, this one looks up the rest.
  const order = [...takes].sort((a, b) => Number(missing.has(b)) - Number(missing.has(a)));
  const begun = new Map(order.map((take) => [take, limit(analyse, take)]));
  const analysed = await Promise.all(takes.map((take) => begun.get(take)!));
  const averaged = await averageDecays(folder, takes, analysed);
  const fixed_gain = project?.recorder.fixed_gain ?? false;
  const results = settleBackgrounds(
    averaged.map(({ result }) => result),
    { fixed_gain },
  );
  const made_from = Object.fromEntries(
    takes.map((take) => {
      const { file, stage, position, set_aside = null } = take;
      const inputs = { stage, position, set_aside, fixed_gain, ...takeInputs(take, settingsOf(take)) };
      return [file, digest(JSON.stringify(inputs)).slice(0, 16)];
    }),
  );
  return { takes: results, traces: averaged.flatMap(({ traces }) => traces), made_from, ran };
}

/** Why a take is not even read: the project file sets it aside, or it is there twice. */
function faultOfUnused(take: FoundTake, duplicates: ReadonlyMap<string, string>): Fault | null {
  if (take.set_aside !== undefined) return faultMessage('set-aside', { reason: take.set_aside });
  const other = duplicates.get(take.file);
  return other === undefined ? null : faultMessage('duplicate', { other });
}

/** Those of some takes that have nothing kept. */
async function missingTakes(
  takes: readonly FoundTake[],
  isThere: (take: FoundTake) => Promise<boolean>,
): Promise<FoundTake[]> {
  const readable = takes.filter((take) => take.sha256 !== null);
  const there = await Promise.all(readable.map(isThere));
  return readable.filter((_, i) => !there[i]);
}

/** What made the sound in a stage; null where it is not stated. */
function sourceOf(project: Project | null, stage: string): SourceKind | null {
  return project?.stages.find(({ id }) => id === stage)?.source?.kind ?? project?.source.kind ?? null;
}

/** Where every file is mono by its header, nothing has to be decoded to know the channel. */
async function channelOfProject(folder: string, takes: readonly FoundTake[], pool: Pool): Promise<number> {
  const open = takes.filter((take) => take.channel === null && take.sha256 !== null);
  const mono = await Promise.all(open.map((take) => isMonoWav(folder, take)));
  if (mono.every(Boolean)) return 1;
  const stepOf = ({ file, sha256 }: FoundTake): StepInputs => {
    return { step: 'channels', version: CHANNELS_VERSION, subject: file, inputs: { sha256 } };
  };
  pool.expect((await missingTakes(open, (take) => isKept(keepFolder(folder), stepOf(take)))).length);
  const limit = pLimit(LOOKED_UP_AT_ONCE);
  const ranked = await Promise.all(
    open.map((take) =>
      limit(async () => {
        const make = () => pool.withTake(folder, take, () => pool.run('rankChannels', { folder, take }));
        return (await keep(keepFolder(folder), stepOf(take), make)).value;
      }),
    ),
  );
  return projectChannel(ranked.filter((ranks) => ranks !== null));
}
