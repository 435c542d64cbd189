import type { TakeKind } from '../src/project/project.ts';
import type { ResponseTrace } from '../src/report/results.ts';
import type { BandWidth } from '../src/room/reading.ts';
import { entryOf, type HeardTake } from './hear-take.ts';
import { measureTake, measureThirds, type ReadBands } from './measure-take.ts';
import type { AnalysedTake } from './take-parts.ts';

/** Kinds that are measured without a response. */
const NO_RESPONSES: ReadonlySet<TakeKind> = new Set(['background', 'calibration', 'passage']);

/** The readings of a take that was listened to: each response band by band. */
export function readHeard(heard: HeardTake, widths: readonly BandWidth[]): AnalysedTake {
  const { take, found, channel, rate_hz, seconds } = heard;
  const { faults, traces, ...measured } = measureTake(heard, found, { level_db: take.level_db, widths });
  const all = [...faults, ...found.faults];
  const readable =
    measured.responses.length > 0 ? measured.responses.some((response) => response.used) : NO_RESPONSES.has(found.kind);
  const used = readable && !all.some((fault) => fault.severity === 'reject');
  const { file, stage, position } = take;
  return {
    result: { ...entryOf(take), rate_hz, seconds, channel, kind: found.kind, used, faults: all, ...measured },
    traces: traces.map((trace) => ({ ...drawable(trace), file, stage, position })),
  };
}

/** The third octaves alone of a take whose octaves were read before. */
export function readHeardThirds({ found }: HeardTake): ReadBands[] {
  return measureThirds(found).map(({ bands, curves }) => ({ bands, curves: curves.map(rounded) }));
}

/** Levels to a thousandth of a decibel: what is drawn is far coarser, and what is kept is a third as long. */
function rounded<Curve extends { level_db: number[] }>(curve: Curve): Curve {
  return { ...curve, level_db: curve.level_db.map((level) => Math.round(level * 1000) / 1000) };
}

function drawable<Trace extends Pick<ResponseTrace, 'curves' | 'early'>>(trace: Trace): Trace {
  return { ...trace, curves: trace.curves.map(rounded), early: rounded(trace.early) };
}
