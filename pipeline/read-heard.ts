import type { TakeKind } from '../src/project/project.ts';
import type { BandWidth } from '../src/room/reading.ts';
import { entryOf, type HeardTake } from './hear-take.ts';
import { measureTake, measureThirds, type ReadBands } from './measure-take.ts';
import type { AnalysedTake } from './take-parts.ts';

/** Kinds that are measured without a response. */
const NO_RESPONSES: ReadonlySet<TakeKind> = new Set(['background', 'calibration', 'passage']);

/** The readings of a take that was listened to: each response band by band. */
export function readHeard(heard: HeardTake, widths: readonly BandWidth[]): AnalysedTake {
  const { take, found, channel, rate_hz, seconds, beforehand } = heard;
  const options = { level_db: take.level_db, widths, beforehand };
  const { faults, traces, ...measured } = measureTake(heard, found, options);
  const all = [...faults, ...found.faults];
  const readable =
    measured.responses.length > 0 ? measured.responses.some((response) => response.used) : NO_RESPONSES.has(found.kind);
  const used = readable && !all.some((fault) => fault.severity === 'reject');
  const { file, stage, position } = take;
  return {
    result: { ...entryOf(take), rate_hz, seconds, channel, kind: found.kind, used, faults: all, ...measured },
    traces: traces.map((trace) => ({ ...trace, file, stage, position })),
  };
}

/** The third octaves alone of a take whose octaves were read before. */
export function readHeardThirds({ found }: HeardTake): ReadBands[] {
  return measureThirds(found);
}
