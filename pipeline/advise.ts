import type { Advice } from '../src/advice/advice.ts';
import type { PositionReflections } from '../src/advice/placement.ts';
import { whatNext } from '../src/advice/what-next.ts';
import type { Project } from '../src/project/project.ts';
import type { TakeResult } from '../src/report/results.ts';
import type { Material } from '../src/room/materials.ts';
import type { Change, StageFinding } from '../src/statistics/finding.ts';

/** What the findings mean for the room's purpose and what to do next: the step between comparing and drawing. */
export function adviseProject(
  project: Project,
  found: { takes: readonly TakeResult[]; stages: readonly StageFinding[]; changes: readonly Change[] },
  materials: readonly Material[],
): Advice {
  const { stages, changes } = found;
  return whatNext({ project, stages, changes, materials, reflections: lastReflections(project, found.takes) });
}

/** Early reflections of the last stage that has a usable response, by position. */
function lastReflections(project: Project, takes: readonly TakeResult[]): PositionReflections[] {
  const used = takes.filter((take) => take.used);
  const last = project.stages.findLast(({ id }) => used.some(({ stage }) => stage === id));
  const positions = new Map<string, PositionReflections['responses'][number][]>();
  for (const { position, responses } of used.filter(({ stage }) => stage === last?.id)) {
    const heard = responses.filter((response) => response.used).map(({ reflections }) => reflections);
    positions.set(position, [...(positions.get(position) ?? []), ...heard]);
  }
  return [...positions].map(([position, responses]) => ({ position, responses }));
}
