import { type LevelTrace, meanLevel_db } from './level-trace.ts';

/** A sudden rise, not yet known to be a clap. Frames are those of the trace it was found in. */
export interface Candidate {
  /** The frame in which the rise begins. */
  start: number;
  /** The loudest frame of the first milliseconds. */
  peak: number;
  peak_db: number;
  /** Level of what was heard just before. */
  before_db: number;
}

const RISE_DB = 20;
const RISE_FRAMES = 5;
/** What counts as the level just before: the mean of the last thirty milliseconds. */
const BEFORE_FRAMES = 30;
/** After a rise, the direct sound has passed by then and the next rise may be looked for. */
const DIRECT_FRAMES = 8;

/**
 * Every rise of at least 20 dB over the running level within 5 ms.
 *
 * @param trace frames of a millisecond of the signal, low frequencies taken away
 * @param floor_db level of the quiet parts: stands for the running level at the very start of a file
 * @returns candidates in order of time, claps and any other sudden sound alike
 */
export function eventCandidates(trace: LevelTrace, floor_db: number): Candidate[] {
  const levels = Float64Array.from({ length: trace.frames }, (_, frame) => meanLevel_db(trace, frame, frame + 1));
  const candidates: Candidate[] = [];
  for (let frame = 0; frame < trace.frames; frame++) {
    // Two frames are enough to judge by at the start of a file; with less the quiet level of the file must serve.
    const before_db = frame < 2 ? floor_db : Math.max(floor_db - 3, meanLevel_db(trace, frame - BEFORE_FRAMES, frame));
    if (highest(levels, frame, frame + RISE_FRAMES).level_db < before_db + RISE_DB) continue;
    // The rise begins where the level first leaves what was heard before.
    let start = frame;
    while (start < frame + RISE_FRAMES - 1 && levels[start]! < before_db + RISE_DB / 2) start++;
    const top = highest(levels, start, start + DIRECT_FRAMES);
    candidates.push({ start, peak: top.frame, peak_db: top.level_db, before_db });
    frame = Math.max(top.frame, start + DIRECT_FRAMES);
  }
  return candidates;
}

function highest(levels: Float64Array, from: number, to: number): { frame: number; level_db: number } {
  let best = { frame: from, level_db: Number.NEGATIVE_INFINITY };
  for (let frame = from; frame < Math.min(to, levels.length); frame++) {
    if (levels[frame]! > best.level_db) best = { frame, level_db: levels[frame]! };
  }
  return best;
}
