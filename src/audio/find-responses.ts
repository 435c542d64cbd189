import { type Candidate, eventCandidates } from './event-candidates.ts';
import { type EventTraces, eventTraces } from './event-traces.ts';
import { faultMessage } from './fault-messages.ts';
import type { Fault } from './faults.ts';
import { type JudgedEvent, judgeEvent } from './judge-event.ts';
import { meanLevel_db } from './level-trace.ts';
import type { Response } from './response.ts';
import { timeZeroOfRecording } from './time-zero.ts';

export interface FindResponsesOptions {
  rate_hz: number;
  /** impulse: any number of claps or pops. response: one impulse response measured elsewhere, from a file of its own. */
  kind: 'impulse' | 'response';
}

export interface FoundResponses {
  responses: Response[];
  faults: Fault[];
}

/** Where the quiet after a response lies, in frames of the traces: what a search for faults looks at. */
export interface QuietAfter {
  start: number;
  /** The decay has come down to the noise; null where it never does. */
  reached: number | null;
  /** The next sudden sound, or the end of the recording. */
  next: number;
}

/** Shorter recordings hold no decay: 50 ms. */
const SHORTEST_FRAMES = 50;
/** What a cut holds before time zero, where the file has it. */
const LEAD_S = 0.02;
/** A cut holds the decay and then noise: at most so much of it, and at most so many times the decay. */
const LONGEST_AFTER_S = 2;
const LONGEST_AFTER_DECAYS = 4;
/** Quieter than its siblings by more than this, a sharp sound is a footstep or a knock and no clap. */
const QUIETEST_SIBLING_DB = 18;
/** A spoiled clap is worth a word only where it is about as loud as the good ones. */
const QUIETEST_SPOILED_DB = 12;
/** What decays in less than this share of its siblings' decay did not sound in the room: a switch, a plug, a fault. */
const SHORTEST_SIBLING = 0.4;
/** What decays in more than so many times its siblings' decay has something else under it. */
const LONGEST_SIBLING = 1.8;
/** With fewer, nobody knows which of them is the odd one out. */
const FEWEST_SIBLINGS = 3;

/**
 * The claps or pops of a take, each cut out with time zero at its direct sound.
 *
 * An event is a rise of 20 dB or more over the running level within 5 ms, with most of its energy above 800 Hz, after
 * which nothing else stands above the decay until it has come down to the noise. Speech, steps, doors and creaks fail one
 * of these. What looks like a clap that something spoiled is given too, with `used: false` and its fault.
 *
 * @param samples one channel, full scale 1, its mean taken away
 * @returns responses in order of time, and faults of the take as a whole; the cuts are views into `samples`
 */
export function findResponses(samples: Float64Array, options: FindResponsesOptions): FoundResponses {
  const { responses, faults } = findInTraces(samples, eventTraces(samples, options.rate_hz), options);
  return { responses, faults };
}

/**
 * The same, for a caller who has the traces already; with what lies after each response.
 */
export function findInTraces(
  samples: Float64Array,
  traces: EventTraces,
  { rate_hz, kind }: FindResponsesOptions,
): FoundResponses & { quiet: QuietAfter[] } {
  if (traces.highLevels.frames < SHORTEST_FRAMES) {
    const fault = faultMessage('too-short', { seconds: samples.length / rate_hz });
    return { responses: [], faults: [fault], quiet: [] };
  }
  if (kind === 'response') return { ...onlyResponse(samples, traces, rate_hz), quiet: [] };
  const candidates = eventCandidates(traces.highLevels, traces.highFloor_db);
  const judged = candidates.map((candidate, i) => judgeEvent(traces, candidate, candidates[i + 1]?.start ?? null));
  const kept = likeSiblings(withDoubleHits(judged, traces.highLevels.frame_s));
  const responses = kept.map((event, i) => {
    const previousEnd = i === 0 ? 0 : kept[i - 1]!.candidate.peak + 1;
    return cutResponse(samples, traces, { event, rate_hz, previousEnd });
  });
  const starts = candidates.map((candidate) => candidate.start);
  const quiet = kept.map(({ candidate: { start }, reached }) => ({
    start,
    reached,
    next: starts.find((other) => other > start) ?? traces.highLevels.frames,
  }));
  return { responses, faults: responses.some((response) => response.used) ? [] : [commonestFault(responses)], quiet };
}

/**
 * Spoils the claps in which a second hit follows. A strong second arrival that comes just as late after another clap of the
 * take is a reflection: no two hands are so even.
 */
function withDoubleHits(judged: JudgedEvent[], frame_s: number): JudgedEvent[] {
  const delayOf = ({ second, candidate }: JudgedEvent) => (second === null ? null : second - candidate.start);
  return judged.map((event) => {
    const delay = delayOf(event);
    if (event.verdict === 'other' || delay === null) return event;
    const shared = judged.some((other) => other !== event && Math.abs((delayOf(other) ?? -9) - delay) <= 1);
    if (shared) return event;
    const fault = faultMessage('events-too-close', { kind: 'double-hit', after_s: delay * frame_s });
    return { ...event, verdict: 'spoiled', fault };
  });
}

/** Leaves out what is no clap, and what is too quiet or too short beside the claps of the same take. */
function likeSiblings(judged: JudgedEvent[]): JudgedEvent[] {
  const events = judged.filter((event) => event.verdict === 'event');
  const reference = events.length > 0 ? events : judged.filter((event) => event.verdict === 'spoiled');
  const levels = reference.map((event) => event.candidate.peak_db).sort((a, b) => b - a);
  const loudest = levels[levels.length > 2 ? 1 : 0] ?? 0;
  const loud = events.filter((event) => loudest - event.candidate.peak_db <= QUIETEST_SIBLING_DB);
  const decays_s = loud.flatMap((event) => event.decay_s ?? []);
  const usual_s = decays_s.length < FEWEST_SIBLINGS ? null : median(decays_s);
  return judged.flatMap((event) => {
    const below = loudest - event.candidate.peak_db;
    if (event.verdict === 'other') return [];
    if (event.verdict === 'spoiled') return below < QUIETEST_SPOILED_DB ? [event] : [];
    if (below > QUIETEST_SIBLING_DB) return [];
    if (usual_s === null) return [event];
    if ((event.decay_s ?? event.gone_s ?? 0) < SHORTEST_SIBLING * usual_s) return [];
    if (event.decay_s === null || event.decay_s < LONGEST_SIBLING * usual_s) return [event];
    return [{ ...event, verdict: 'spoiled', fault: faultMessage('events-too-close', { kind: 'covered', after_s: 0 }) }];
  });
}

function cutResponse(
  samples: Float64Array,
  traces: EventTraces,
  { event, rate_hz, previousEnd }: { event: JudgedEvent; rate_hz: number; previousEnd: number },
): Response {
  const frame_samples = traces.highLevels.frame_samples;
  const { candidate, reached } = event;
  const zero = timeZeroOfRecording(samples, {
    rate_hz,
    from: Math.max(0, (candidate.start - 2) * frame_samples),
    to: (candidate.peak + 2) * frame_samples,
  });
  // A file that starts above the threshold has lost the rise, and how much of the direct sound nobody knows.
  const fault = zero === 0 ? faultMessage('too-short', { cutInto: true }) : event.fault;
  const start = Math.max(0, previousEnd * frame_samples, zero - Math.round(LEAD_S * rate_hz));
  const decayed = (reached ?? event.end) * frame_samples - zero;
  const longest = zero + Math.max(LONGEST_AFTER_S * rate_hz, LONGEST_AFTER_DECAYS * decayed);
  const end = Math.min(samples.length, longest, event.end * frame_samples);
  return {
    rate_hz,
    onset_s: zero / rate_hz,
    samples: samples.subarray(start, Math.max(zero + 1, Math.round(end))),
    zero_sample: zero - start,
    used: fault === null,
    faults: fault === null ? [] : [fault],
  };
}

/** A ready impulse response: one event, wherever it begins, with or without noise before and after it. */
function onlyResponse(samples: Float64Array, traces: EventTraces, rate_hz: number): FoundResponses {
  const { highLevels } = traces;
  const top = loudestFrame(traces);
  if (top.level_db - traces.highFloor_db < 20) return { responses: [], faults: [faultMessage('no-event', {})] };
  const frame_samples = highLevels.frame_samples;
  const zero = timeZeroOfRecording(samples, {
    rate_hz,
    from: Math.max(0, (top.frame - ARRIVALS_FRAMES) * frame_samples),
    to: (top.frame + 1) * frame_samples,
  });
  const start = Math.max(0, zero - Math.round(LEAD_S * rate_hz));
  const response: Response = {
    rate_hz,
    onset_s: zero / rate_hz,
    samples: samples.subarray(start),
    zero_sample: zero - start,
    used: true,
    faults: [],
  };
  return { responses: [response], faults: [] };
}

/** The direct sound comes at most so long before the strongest reflection. */
const ARRIVALS_FRAMES = 40;

function loudestFrame({ highLevels }: EventTraces): Pick<Candidate, 'peak'> & { frame: number; level_db: number } {
  let frame = 0;
  let level_db = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < highLevels.frames; i++) {
    const level = meanLevel_db(highLevels, i, i + 1);
    if (level > level_db) {
      frame = i;
      level_db = level;
    }
  }
  return { frame, peak: frame, level_db };
}

/** Where no response can be used, the take has the fault that most of them have; where there is none, it has no event. */
export function commonestFault(responses: Response[]): Fault {
  const counted = new Map<string, { fault: Fault; count: number }>();
  for (const fault of responses.flatMap((response) => response.faults)) {
    const seen = counted.get(fault.code);
    if (seen) seen.count++;
    else counted.set(fault.code, { fault, count: 1 });
  }
  const commonest = [...counted.values()].sort((a, b) => b.count - a.count)[0];
  return commonest?.fault ?? faultMessage('no-event', {});
}

function median(values: number[]): number | null {
  if (values.length === 0) return null;
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)]!;
}
