import type { Fault } from '../audio/faults.ts';
import type { Project } from '../project/project.ts';
import { type WantedTakes, wantedTakes } from '../project/wanted-takes.ts';
import { type Remark, remarksOn } from './remarks.ts';
import type { TakeResult } from './results.ts';

/** good: used. caution: used, with something to know. kept: holds no decay (speech, the silent room, a calibrator). set-aside: not used, none needed in its place. */
export type TakeState = 'good' | 'caution' | 'kept' | 'set-aside' | 'record-again';

export interface TakeSummary {
  file: string;
  state: TakeState;
  /** Responses that are used, and all that were found. */
  good: number;
  found: number;
  kind: TakeResult['kind'];
  faults: Fault[];
}

export interface PositionSummary {
  position: string;
  /** Responses that are used, over all takes. */
  good: number;
  wanted: number;
  takes: TakeSummary[];
}

export interface StageSummary {
  id: string;
  title: string;
  positions: PositionSummary[];
  /** How many positions have as many good responses as are wanted. */
  complete: number;
}

export interface CheckSummary {
  wanted: WantedTakes;
  stages: StageSummary[];
  /** Files to record again. */
  record_again: string[];
  /** What several takes show beside each other. */
  remarks: Remark[];
}

/**
 * Returns, for each stage and position, which takes are good, which should be recorded again and why, and how many good
 * responses stand against how many are wanted for the purpose of the room. Stages without takes are there, empty;
 * positions are those listed in the project and those that have takes, in that order.
 */
export function summariseCheck(project: Project, takes: readonly TakeResult[]): CheckSummary {
  const wanted = wantedTakes(project.purpose);
  const stages = project.stages.map(({ id, title }): StageSummary => {
    const own = takes.filter((take) => take.stage === id);
    const names = own.length === 0 ? [] : [...Object.keys(project.positions), ...own.map(({ position }) => position)];
    const positions = [...new Set(names)].map((position): PositionSummary => {
      const summaries = own.filter((take) => take.position === position).map(summariseTake);
      const good = summaries.reduce((sum, take) => sum + take.good, 0);
      return { position, good, wanted: wanted.responses, takes: summaries };
    });
    const complete = positions.filter(({ good }) => good >= wanted.responses).length;
    return { id, title: title ?? id, positions, complete };
  });
  const all = stages.flatMap(({ positions }) => positions.flatMap((position) => position.takes));
  const record_again = all.filter(({ state }) => state === 'record-again').map(({ file }) => file);
  return { wanted, stages, record_again, remarks: remarksOn(project, takes) };
}

function summariseTake(take: TakeResult): TakeSummary {
  const { file, kind } = take;
  const good = take.used ? take.responses.filter(({ used }) => used).length : 0;
  const faults = distinct([...take.faults, ...take.responses.flatMap((response) => response.faults)]);
  return { file, kind, good, found: take.responses.length, faults, state: stateOf(take, good, faults) };
}

function stateOf(take: TakeResult, good: number, faults: Fault[]): TakeState {
  const has = (code: Fault['code']): boolean => take.faults.some((fault) => fault.code === code);
  if (has('duplicate') || has('set-aside')) return 'set-aside';
  if (!take.used && take.faults.some(({ severity }) => severity === 'reject')) return 'record-again';
  if (take.used && take.responses.length === 0)
    return faults.some(({ severity }) => severity === 'warn') ? 'caution' : 'kept';
  if (good === 0) return 'record-again';
  return faults.some(({ severity }) => severity !== 'note') ? 'caution' : 'good';
}

/** The same fault at several claps of one take is told once, with its first figures. */
function distinct(faults: Fault[]): Fault[] {
  return faults.filter((fault, i) => faults.findIndex(({ code }) => code === fault.code) === i);
}
