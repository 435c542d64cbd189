import type { Project } from '../project/project.ts';
import { tidyLabel } from './label.ts';
import { type StageLook, stageLooks } from './theme.ts';

/** A stage under the name and with the look that all charts give it. Labels are unique within a project. */
export interface LabelledStage {
  id: string;
  label: string;
  look: StageLook;
}

/** The stages in their order, each named by its title, or its id where it has none; where two titles are alike, all carry their id. */
export function labelStages(stages: Project['stages'], accent: string): LabelledStage[] {
  const looks = stageLooks(stages.length, accent);
  const titles = stages.map((stage) => tidyLabel(stage.title ?? stage.id));
  const unlike = titles.every((title, index) => title !== '' && titles.indexOf(title) === index);
  return stages.map(({ id }, index) => ({
    id,
    label: unlike ? titles[index]! : `${titles[index]} (${tidyLabel(id)})`.trim(),
    look: looks[index]!,
  }));
}
