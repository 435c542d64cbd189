import { curveIntelligibility } from '../room/curve-intelligibility.ts';
import { type IntelligibilityRating, intelligibilityRating } from '../room/intelligibility.ts';
import type { ResponseResult, ResponseTrace, TakeResult } from './results.ts';

/** Speech transmission index of one stage: an estimate without noise, 0 to 1. */
export interface StageSpeech {
  stage: string;
  /** Mean of the position means; null where fewer than half of the used responses have an index. */
  sti: number | null;
  /** Lowest and highest position mean: a span that was seen, no interval of confidence. */
  lowest: number | null;
  highest: number | null;
  rating: IntelligibilityRating | null;
  responses: number;
  positions: number;
  /** Why some or all responses have none, each reason once. */
  refusals: string[];
}

/** The speech transmission index of every stage that has a used response, in the order of the takes. */
export function speechByStage(takes: readonly TakeResult[], traces: readonly ResponseTrace[]): StageSpeech[] {
  const used = takes.filter((take) => take.used);
  return [...new Set(used.map(({ stage }) => stage))].map((stage) => stageSpeech(stage, used, traces));
}

function stageSpeech(stage: string, takes: readonly TakeResult[], traces: readonly ResponseTrace[]): StageSpeech {
  const byPosition = new Map<string, number[]>();
  const refusals = new Set<string>();
  let used = 0;
  for (const take of takes.filter((candidate) => candidate.stage === stage)) {
    for (const response of take.responses.filter((candidate) => candidate.used)) {
      used++;
      const trace = traceOf(take, response, traces);
      const { sti, refusal } = trace?.speech ?? curveIntelligibility(response.bands, trace?.curves ?? []);
      if (sti !== null) byPosition.set(take.position, [...(byPosition.get(take.position) ?? []), sti]);
      if (refusal !== null) refusals.add(refusal);
    }
  }
  const responses = [...byPosition.values()].reduce((sum, values) => sum + values.length, 0);
  // Responses that happen to carry an index are no fair sample where most carry none.
  const means = 2 * responses < used ? [] : [...byPosition.values()].map(mean);
  const sti = means.length === 0 ? null : mean(means);
  return {
    stage,
    sti,
    lowest: sti === null ? null : Math.min(...means),
    highest: sti === null ? null : Math.max(...means),
    rating: sti === null ? null : intelligibilityRating(sti),
    responses,
    positions: means.length,
    refusals: [...refusals],
  };
}

function traceOf(take: TakeResult, response: ResponseResult, traces: readonly ResponseTrace[]) {
  return traces.find(({ file, onset_s }) => file === take.file && onset_s === response.onset_s);
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
