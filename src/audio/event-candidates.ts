import { powerToDb } from '../signal/decibels.ts';
import { type LevelTrace, meanPower } from './level-trace.ts';

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

/** 20 dB. */
const RISE = 100;
const RISE_FRAMES = 5;
/** What counts as the level just before: the mean of the last thirty milliseconds. */
const BEFORE_FRAMES = 30;
/** It counts as no quieter than 3 dB under the quiet level. */
const LEAST_BEFORE = 10 ** -0.3;
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
  // Powers, not levels: of the thousands of frames few are candidates.
  const powers = new Float64Array(trace.frames);
  for (let frame = 0; frame < trace.frames; frame++) powers[frame] = meanPower(trace, frame, frame + 1);
  const floor = 10 ** (floor_db / 10);
  const candidates: Candidate[] = [];
  for (let frame = 0; frame < trace.frames; frame++) {
    // Two frames are enough to judge by at the start of a file; with less the quiet level of the file must serve.
    const before = frame < 2 ? floor : Math.max(floor * LEAST_BEFORE, meanPower(trace, frame - BEFORE_FRAMES, frame));
    if (powers[highest(powers, frame, frame + RISE_FRAMES)]! < before * RISE) continue;
    // The rise begins where the level first leaves what was heard before.
    let start = frame;
    while (start < frame + RISE_FRAMES - 1 && powers[start]! < before * Math.sqrt(RISE)) start++;
    const peak = highest(powers, start, start + DIRECT_FRAMES);
    candidates.push({ start, peak, peak_db: powerToDb(powers[peak]!), before_db: powerToDb(before) });
    frame = Math.max(peak, start + DIRECT_FRAMES);
  }
  return candidates;
}

/** The frame of the highest power from one frame to another. */
function highest(powers: Float64Array, from: number, to: number): number {
  let best = from;
  for (let frame = from + 1; frame < Math.min(to, powers.length); frame++) {
    if (powers[frame]! > powers[best]!) best = frame;
  }
  return best;
}
