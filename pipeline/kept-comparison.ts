import type { Project } from '../src/project/project.ts';
import type { BandWidth } from '../src/room/reading.ts';
import type { AnalysedProject } from './analyse-project.ts';
import { type Compared, comparedPairs, compareProject, conditionsOf } from './compare.ts';
import { keepFolder, keepLater, type StepInputs } from './keep.ts';

/** Raised whenever stages would be compared otherwise; another build of the code does by itself. */
const COMPARISON_VERSION = 1;

/**
 * What `compareProject` gives for the bands of one width, kept by all that it comes from: the takes, what is stated of the stages, and which
 * are compared. An edit of a title, a cost or the room's size compares nothing again.
 */
export async function comparisonOf(
  { folder, project }: { folder: string; project: Project },
  { takes, traces, made_from }: AnalysedProject,
  width: BandWidth,
): Promise<{ value: Compared; ran: boolean }> {
  const step: StepInputs = {
    step: 'compare',
    version: COMPARISON_VERSION,
    code: 'report',
    subject: width,
    inputs: {
      takes: made_from,
      stages: project.stages.map((stage) => conditionsOf(project, stage)),
      pairs: comparedPairs(project, takes),
      width,
    },
  };
  return keepLater(keepFolder(folder), step, () => compareProject(project, takes, traces, { widths: [width] }));
}
