import type { Project } from '../project/project.ts';
import { tidyLabel } from './label.ts';
import { type StageLook, stageLooks } from './theme.ts';

/** A stage under the name and with the look that all charts give it. Labels are unique within a project. */
export interface LabelledStage {
  id: string;
  label: string;
  look: StageLook;
}

/** The stages in their order, each named by its title, or its id where it has none; equal titles are told apart by the id. */
export function labelStages(stages: Project['stages'], accent: string): LabelledStage[] {
  const looks = stageLooks(stages.length, accent);
  const labels = stages.map((stage) => tidyLabel(stage.title ?? stage.id));
  return stages.map((stage, index) => {
    const label = labels[index]!;
    const alone = label !== '' && labels.indexOf(label) === labels.lastIndexOf(label);
    return { id: stage.id, label: alone ? label : `${label} (${tidyLabel(stage.id)})`.trim(), look: looks[index]! };
  });
}
