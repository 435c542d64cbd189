import pLimit from 'p-limit';
import { projectChannel } from '../src/audio/choose-channel.ts';
import { faultMessage } from '../src/audio/fault-messages.ts';
import { duplicateTakes } from '../src/project/duplicate-takes.ts';
import type { Project, SourceKind } from '../src/project/project.ts';
import type { ResponseTrace, TakeResult } from '../src/report/results.ts';
import { settleBackgrounds } from '../src/report/settle-backgrounds.ts';
import { type AnalysedTake, analyseTake, setAside } from './analyse.ts';
import { averageDecays } from './average-decays.ts';
import { keep, keepFolder } from './keep.ts';
import { channelsOf } from './normalise.ts';
import type { FoundTake, ReadProject } from './read.ts';
import { readSweep } from './sweep-file.ts';

/** Decoded takes are large: so many are held in memory at once. */
const TAKES_AT_ONCE = 2;
/** Raised whenever the channels of a recording would be ranked otherwise than before. */
const CHANNELS_VERSION = 1;

export interface AnalysedProject {
  takes: TakeResult[];
  traces: ResponseTrace[];
  /** Takes that were read anew, the others having been kept from an earlier run. */
  ran: number;
}

/**
 * Every take of a project analysed, in the order of the project. One channel serves all takes, so that stages are compared through
 * the same microphone; the same recording found twice counts once.
 *
 * @param onTake called as each take is done, for the progress shown
 */
export async function analyseProject(
  { folder, project, takes }: Pick<ReadProject, 'folder' | 'project' | 'takes'>,
  onTake: (done: number, total: number, take: TakeResult) => void = () => undefined,
): Promise<AnalysedProject> {
  const duplicates = duplicateTakes(takes);
  const channel = await channelOfProject(folder, takes);
  const sweep = await readSweep(folder);
  const limit = pLimit(TAKES_AT_ONCE);
  let done = 0;
  let ran = 0;
  const analysed = await Promise.all(
    takes.map((take) =>
      limit(async (): Promise<AnalysedTake> => {
        const other = duplicates.get(take.file);
        const one =
          other === undefined
            ? await analyseTake(folder, take, { channel, sweep, source: sourceOf(project, take.stage) })
            : { ...setAside(take, [faultMessage('duplicate', { other })]), ran: false };
        if (one.ran) ran++;
        onTake(++done, takes.length, one.result);
        return one;
      }),
    ),
  );
  const averaged = await averageDecays(folder, takes, analysed);
  const results = settleBackgrounds(
    averaged.map(({ result }) => result),
    { fixed_gain: project?.recorder.fixed_gain ?? false },
  );
  return { takes: results, traces: averaged.flatMap(({ traces }) => traces), ran };
}

/** What made the sound in a stage; null where it is not stated. */
function sourceOf(project: Project | null, stage: string): SourceKind | null {
  return project?.stages.find(({ id }) => id === stage)?.source?.kind ?? project?.source.kind ?? null;
}

async function channelOfProject(folder: string, takes: readonly FoundTake[]): Promise<number> {
  const limit = pLimit(TAKES_AT_ONCE);
  const ranked = await Promise.all(
    takes
      .filter((take) => take.channel === null && take.sha256 !== null)
      .map((take) =>
        limit(async () => {
          const inputs = { step: 'channels', version: CHANNELS_VERSION, inputs: { sha256: take.sha256 } };
          return (await keep(keepFolder(folder), inputs, () => channelsOf(folder, take))).value;
        }),
      ),
  );
  return projectChannel(ranked.filter((ranks) => ranks !== null));
}
