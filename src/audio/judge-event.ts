import type { Candidate } from './event-candidates.ts';
import type { EventTraces } from './event-traces.ts';
import { faultMessage } from './fault-messages.ts';
import type { Fault } from './faults.ts';
import { type Decay, followDecay } from './follow-decay.ts';
import { haltInDecay } from './halt-in-decay.ts';
import { type LevelTrace, meanLevel_db } from './level-trace.ts';
import { stopsWhileLoud } from './noise-gate.ts';

/** A candidate with what is known of it. */
export interface JudgedEvent {
  candidate: Candidate;
  /** event: a clap that decays undisturbed; spoiled: something sharp that was disturbed; other: no clap at all. */
  verdict: 'event' | 'spoiled' | 'other';
  fault: Fault | null;
  /** Where the usable cut ends, in frames. */
  end: number;
  /** First frame at which the decay has come down to the noise; null where it does not. */
  reached: number | null;
  /** Level of the loudest millisecond over the quiet level of the recording. */
  range_db: number;
  /** Decay time read roughly off the level above 800 Hz; null where too little of it can be seen. */
  decay_s: number | null;
  /** Decay time from nothing but how soon the noise is reached; null where it is not. */
  gone_s: number | null;
  /** Frame of a second arrival about as strong as the direct sound: another hit, or a reflection; null where there is none. */
  second: number | null;
}

/** A clap has most of its energy above 800 Hz; a door or a step has a twentieth of it there, or less. */
const LEAST_HIGH_SHARE_DB = -13;
/** Under this height over the noise nothing can be read from a decay. */
const LEAST_RANGE_DB = 30;
/** The direct sound of a clap stands out from what follows it; a vowel swells. */
const LEAST_CREST_DB = -3;
/** No room decays so fast: a consonant close to the microphone does, or a switch. */
const DRIEST_S = 0.06;
/** In the slowest small room, 3 s, a decay falls by so much in this time. */
const SUSTAIN = { from: 250, to: 300, least_db: 4 };
/** A vowel after its consonant, in frames: so soon, so long, and so much louder. */
const SWELL = { from: 60, window: 40, rise_db: 1 };
/** A vowel has ended by then, in frames. */
const LONGEST_VOWEL = 400;
/** So soon after the direct sound the decay is followed. */
const DIRECT_FRAMES = 4;
/** A rise found in the decay and a sudden rise found by itself are one when they start so close together. */
const SAME_FRAMES = 12;
/** The stretch in which a second hit would tell, and how strong it must be. */
const SECOND_HIT = { from: 20, to: 80, under_direct_db: 6, over_before_db: 8, lift_db: 0.3 };

/** Says of one sudden rise whether it is a clap, a spoiled clap, or something else. */
export function judgeEvent(traces: EventTraces, candidate: Candidate, nextStart: number | null): JudgedEvent {
  const { highLevels, highFloor_db } = traces;
  const range_db = candidate.peak_db - highFloor_db;
  const high = followDecay(highLevels, {
    from: candidate.peak + DIRECT_FRAMES,
    floor_db: highFloor_db,
    window: 30,
    rise_db: 8,
  });
  const low = followDecay(traces.lowLevels, {
    from: candidate.peak + 20,
    floor_db: traces.lowFloor_db,
    window: 80,
    rise_db: 10,
  });
  const decay_s = roughDecay_s(highLevels, candidate, Math.min(high.end, high.reached ?? high.end));
  const gone_s = high.reached === null ? null : ((high.reached - candidate.peak) * highLevels.frame_s * 60) / range_db;
  const second = secondHit(highLevels, candidate);
  const judged = {
    candidate,
    range_db,
    decay_s,
    gone_s,
    second,
    reached: high.reached,
    end: Math.min(high.end, low.end),
  };
  const tooDry = decay_s === null ? gone_s !== null && gone_s < DRIEST_S / 2 : decay_s < DRIEST_S;
  const crest_db = candidate.peak_db - meanLevel_db(highLevels, candidate.start + 8, candidate.start + 28);
  const next = nextStart ?? Number.POSITIVE_INFINITY;
  const sustained = next > candidate.start + SUSTAIN.to && !falls(highLevels, candidate);
  if (
    sustained ||
    swells(highLevels, candidate, next) ||
    stopsWhileLoud(highLevels, {
      from: candidate.start,
      to: Math.min(next - 3, highLevels.frames, candidate.start + LONGEST_VOWEL),
    }) ||
    tooDry ||
    crest_db < LEAST_CREST_DB ||
    range_db < LEAST_RANGE_DB ||
    highShare_db(traces, candidate) < LEAST_HIGH_SHARE_DB
  ) {
    return { ...judged, verdict: 'other', fault: null };
  }
  const fault = disturbance(traces, { candidate, high, low, nextStart });
  return { ...judged, verdict: fault === null ? 'event' : 'spoiled', fault };
}

/** Whether the level falls at all in the first quarter of a second: noise that is switched on does not. */
function falls(trace: LevelTrace, { start }: Candidate): boolean {
  if (start + SUSTAIN.to > trace.frames) return true;
  const early_db = meanLevel_db(trace, start + 5, start + 30);
  return meanLevel_db(trace, start + SUSTAIN.from, start + SUSTAIN.to) < early_db - SUSTAIN.least_db;
}

/** Whether, shortly after, it is louder than it was at first: a consonant with its vowel is, a clap never. */
function swells(trace: LevelTrace, { start }: Candidate, next: number): boolean {
  const early_db = meanLevel_db(trace, start, start + 30);
  const to = Math.min(next - 3, start + SUSTAIN.to, trace.frames);
  for (let frame = start + SWELL.from; frame + SWELL.window <= to; frame += SWELL.window / 4) {
    if (meanLevel_db(trace, frame, frame + SWELL.window) > early_db + SWELL.rise_db) return true;
  }
  return false;
}

/** Level above 800 Hz relative to the whole, over the first 20 ms, what sounded before taken off. */
function highShare_db(traces: EventTraces, { start, peak }: Candidate): number {
  const excess = (trace: LevelTrace) => {
    const before = 10 ** (meanLevel_db(trace, start - 30, start) / 10);
    return 10 ** (meanLevel_db(trace, start, peak + 20) / 10) - (start < 2 ? 0 : before);
  };
  const whole = excess(traces.wholeLevels);
  const high = excess(traces.highLevels);
  if (high <= 0) return Number.NEGATIVE_INFINITY;
  return whole <= 0 ? 0 : 10 * Math.log10(high / whole);
}

function disturbance(
  traces: EventTraces,
  { candidate, high, low, nextStart }: { candidate: Candidate; high: Decay; low: Decay; nextStart: number | null },
): Fault | null {
  const frame_s = traces.highLevels.frame_s;
  const after_s = (frame: number) => (frame - candidate.start) * frame_s;
  if (high.reached === null || (low.end < high.end && low.end < high.reached)) {
    const end = Math.min(high.end, low.end);
    if (end === traces.highLevels.frames) return faultMessage('too-short', { after_s: after_s(end) });
    if (nextStart !== null && Math.abs(nextStart - end) < SAME_FRAMES) {
      return faultMessage('events-too-close', { kind: 'next-event', after_s: after_s(nextStart) });
    }
    return faultMessage('events-too-close', { kind: 'other-sound', after_s: after_s(end) });
  }
  const halt = haltInDecay(traces.highLevels, {
    from: candidate.peak + 10,
    to: high.reached,
    floor_db: traces.highFloor_db,
  });
  return halt === null ? null : faultMessage('events-too-close', { kind: 'other-sound', after_s: after_s(halt) });
}

/**
 * A second arrival about as strong as the direct sound, later than the reflections of a small room can be so strong. Two
 * milliseconds are compared, since a single one may cut an arrival in half.
 */
function secondHit(trace: LevelTrace, { start, peak }: Candidate): number | null {
  const pair = (frame: number) => meanLevel_db(trace, frame, frame + 2);
  const direct_db = Math.max(pair(peak - 1), pair(peak));
  const from = Math.max(start + SECOND_HIT.from, peak + SECOND_HIT.from / 2);
  for (let frame = from; frame < Math.min(start + SECOND_HIT.to, trace.frames); frame++) {
    const level = pair(frame);
    if (level < direct_db - SECOND_HIT.under_direct_db) continue;
    if (level < meanLevel_db(trace, frame - 9, frame - 1) + SECOND_HIT.over_before_db) continue;
    // A hit brings a decay of its own, a reflection does not.
    const lift_db = meanLevel_db(trace, frame + 3, frame + 21) - meanLevel_db(trace, frame - 19, frame - 1);
    if (lift_db < SECOND_HIT.lift_db) continue;
    return meanLevel_db(trace, frame, frame + 1) > meanLevel_db(trace, frame + 1, frame + 2) ? frame : frame + 1;
  }
  return null;
}

/** Least squares through the level from 20 ms after the peak to 30 dB down or to the given frame. */
function roughDecay_s(trace: LevelTrace, { peak }: Candidate, to: number): number | null {
  const from = peak + 20;
  const window = 10;
  const top = meanLevel_db(trace, from, from + window);
  let n = 0;
  let sumT = 0;
  let sumL = 0;
  let sumTT = 0;
  let sumTL = 0;
  let lowest = top;
  for (let frame = from; frame + window <= Math.min(to, trace.frames); frame += window / 2) {
    const level = meanLevel_db(trace, frame, frame + window);
    lowest = Math.min(lowest, level);
    if (level < top - 30) break;
    const t = frame * trace.frame_s;
    n++;
    sumT += t;
    sumL += level;
    sumTT += t * t;
    sumTL += t * level;
  }
  if (n < 3 || top - lowest < 8) return null;
  const slope = (n * sumTL - sumT * sumL) / (n * sumTT - sumT * sumT);
  return slope < 0 ? -60 / slope : null;
}
