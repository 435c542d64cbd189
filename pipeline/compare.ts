import type { Project, Stage } from '../src/project/project.ts';
import { passageChanges } from '../src/report/passage-changes.ts';
import type { ChangeResult, ResponseTrace, TakeResult } from '../src/report/results.ts';
import { type ComparisonInput, compareStages, type ReadingAt } from '../src/statistics/compare-stages.ts';
import type { StageConditions } from '../src/statistics/comparison-warnings.ts';
import type { StageFinding } from '../src/statistics/finding.ts';

/**
 * What was found in each stage, and what changed between the stages compared. Only responses that are used count. The traces show
 * what two stages share at a place; without them that is known from several places only.
 *
 * @param only the bands and quantities compared; left out, all
 */
export function compareProject(
  project: Project,
  takes: readonly TakeResult[],
  traces: readonly ResponseTrace[] = [],
  only: Pick<ComparisonInput, 'widths' | 'quantities'> = {},
): Compared {
  const curvesOf = new Map(traces.map(({ file, onset_s, curves }) => [nameOf(file, onset_s), curves]));
  const readings = takes.filter((take) => take.used).flatMap((take) => readingsOf(take, curvesOf));
  const found = compareStages({
    stages: project.stages.map((stage) => conditionsOf(project, stage)),
    readings,
    pairs: comparedPairs(project, takes),
    ...only,
  });
  const changes = found.changes.map((change) => {
    const passages = passageChanges(takes, change);
    return passages.length > 0 ? { ...change, passages } : change;
  });
  return { stages: found.stages, changes };
}

export interface Compared {
  stages: StageFinding[];
  changes: ChangeResult[];
}

/** The pairs of stages that are compared. */
export function comparedPairs(project: Project, takes: readonly TakeResult[]): [from: string, to: string][] {
  return stagePairs(project, measuredStages(takes));
}

/** Stages with something to compare: a decay, or a passage. */
function measuredStages(takes: readonly TakeResult[]): Set<string> {
  const comparable = takes.filter((take) => take.used && (take.responses.length > 0 || take.passage !== undefined));
  return new Set(comparable.map(({ stage }) => stage));
}

/** One response among all. */
function nameOf(file: string, onset_s: number): string {
  return `${file}@${onset_s}`;
}

function readingsOf(take: TakeResult, curvesOf: ReadonlyMap<string, ResponseTrace['curves']>): ReadingAt[] {
  return take.responses
    .filter((response) => response.used && response.averaged_into === undefined)
    .map(({ onset_s, bands, decays }) => {
      const name = nameOf(take.file, onset_s);
      const curves = curvesOf.get(name);
      return {
        stage: take.stage,
        position: take.position,
        take: name,
        bands,
        ...(decays === undefined ? {} : { decays }),
        ...(curves === undefined ? {} : { curves }),
      };
    });
}

/** What is stated of a stage that matters when it is compared. */
export function conditionsOf(project: Project, stage: Stage): StageConditions {
  return {
    id: stage.id,
    temperature_c: stage.temperature ?? project.room.temperature ?? null,
    humidity_percent: stage.humidity ?? project.room.humidity ?? null,
    source_kind: stage.source?.kind ?? project.source.kind ?? null,
    microphone_pattern: stage.microphone?.pattern ?? project.microphone.pattern ?? null,
  };
}

/** The pairs the project names; else each measured stage with the one before it, and the first with the last. */
export function stagePairs(project: Project, measured: ReadonlySet<string>): [from: string, to: string][] {
  if (project.compare.length > 0) return project.compare;
  const ids = project.stages.map(({ id }) => id).filter((id) => measured.has(id));
  const steps = ids.slice(1).map((id, i): [string, string] => [ids[i]!, id]);
  return ids.length > 2 ? [...steps, [ids[0]!, ids.at(-1)!]] : steps;
}
