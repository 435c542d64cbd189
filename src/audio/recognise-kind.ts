import type { SourceKind, TakeKind } from '../project/project.ts';
import type { EventTraces } from './event-traces.ts';
import type { QuietAfter } from './find-responses.ts';
import { meanLevel_db } from './level-trace.ts';
import { powerSpectrum } from './power-spectrum.ts';
import { switchOffs } from './switch-offs.ts';

const FRAME = 100;
/** A ready response starts at once and holds nothing else. */
const RESPONSE_START_S = 0.1;
const RESPONSE_LONGEST_S = 6;
/** Within so many dB from its quiet to its loud parts, a recording is steady. */
const STEADY_DB = 12;
/** Share of the power in a few bins that makes a tone. */
const TONE_SHARE = 0.6;
const CALIBRATORS_HZ = [250, 1000];
/** A sweep climbs over at least this many octaves, step by step. */
const SWEEP_OCTAVES = 3;

/** In a take of claps, next to nothing between them comes within so many dB of the loudest; in speech much does. */
const ELSEWHERE_DB = 12;
const MOST_ELSEWHERE_S = 0.3;

export interface RecogniseOptions {
  traces: EventTraces;
  rate_hz: number;
  /** Where the events were found in it. */
  events: QuietAfter[];
  /** What the project says makes the sound: claps, pops and boards leave no ready responses. */
  source: SourceKind | null;
}

/**
 * What kind of take a recording is, by its sound alone: claps make an impulse take, one event at the very start of a short
 * file a ready response, a tone that climbs a sweep, a steady tone near 250 or 1000 Hz a calibration, steady loud noise
 * that is switched off, once or again and again, interrupted noise, a level that hardly moves background, anything else a passage. Common practice,
 * no source; the guess is printed, and the project file settles it.
 */
export function recogniseKind(samples: Float64Array, { traces, rate_hz, events, source }: RecogniseOptions): TakeKind {
  const seconds = samples.length / rate_hz;
  const first_s = (events[0]?.start ?? 0) * traces.highLevels.frame_s;
  const played = source === null || source === 'loudspeaker';
  if (played && events.length === 1 && seconds <= RESPONSE_LONGEST_S && first_s <= RESPONSE_START_S) return 'response';
  if (events.length > 0 && loudElsewhere_s(traces, events) <= MOST_ELSEWHERE_S) return 'impulse';
  const tones = loudestTones(samples, { traces, rate_hz });
  if (isSweep(tones)) return 'sweep';
  if (isCalibration(tones)) return 'calibration';
  const levels = stretchLevels(traces);
  const interrupted = isSwitchedOff(levels, traces.highLevels.frame_s) || switchOffs(samples, rate_hz).length > 1;
  if (interrupted) return 'noise-off';
  const sorted = [...levels].sort((a, b) => a - b);
  const spread_db = sorted[Math.floor(0.95 * (sorted.length - 1))]! - sorted[Math.floor(0.05 * (sorted.length - 1))]!;
  return spread_db < STEADY_DB ? 'background' : 'passage';
}

/** How long, outside the events and their decays, it is about as loud as the loudest event. */
function loudElsewhere_s({ highLevels }: EventTraces, events: QuietAfter[]): number {
  const window = 10;
  const peaks = events.map(({ start }) =>
    Math.max(...[0, 1, 2, 3].map((i) => meanLevel_db(highLevels, start + i, start + i + 1))),
  );
  const least_db = Math.max(...peaks) - ELSEWHERE_DB;
  let count = 0;
  for (let at = 0; at + window <= highLevels.frames; at += window) {
    const within = events.some(({ start, reached, next }) => at + window > start && at < (reached ?? next));
    if (!within && meanLevel_db(highLevels, at, at + window) > least_db) count++;
  }
  return count * window * highLevels.frame_s;
}

function stretchLevels({ wholeLevels }: EventTraces): number[] {
  const levels: number[] = [];
  for (let at = 0; at + FRAME <= wholeLevels.frames; at += FRAME)
    levels.push(meanLevel_db(wholeLevels, at, at + FRAME));
  return levels.length > 0 ? levels : [meanLevel_db(wholeLevels, 0, wholeLevels.frames)];
}

interface Tone {
  frequency_hz: number;
  /** Share of the power that lies within a few bins of it. */
  share: number;
}

/** The strongest tone in each tenth of a second that is not much quieter than the loudest. */
function loudestTones(
  samples: Float64Array,
  { traces, rate_hz }: { traces: EventTraces; rate_hz: number },
): (Tone | null)[] {
  const size = 4096;
  const levels = stretchLevels(traces);
  const loudest = Math.max(...levels);
  const step = FRAME * traces.wholeLevels.frame_samples;
  return levels.map((level, i) => {
    if (level < loudest - 30) return null;
    const spectrum = powerSpectrum([samples.subarray(i * step, i * step + size)], { rate_hz, size });
    if (spectrum === null) return null;
    let top = 1;
    let whole = 0;
    for (let bin = 1; bin < spectrum.power.length; bin++) {
      whole += spectrum.power[bin]!;
      if (spectrum.power[bin]! > spectrum.power[top]!) top = bin;
    }
    // A sweep crosses more bins in one window the higher it stands.
    const reach = Math.max(3, Math.round(top * 0.15));
    let near = 0;
    for (let bin = Math.max(1, top - reach); bin <= top + reach; bin++) near += spectrum.power[bin] ?? 0;
    return { frequency_hz: top * spectrum.step_hz, share: whole > 0 ? near / whole : 0 };
  });
}

function isSweep(tones: (Tone | null)[]): boolean {
  const clear = tones.filter((tone) => tone !== null && tone.share >= TONE_SHARE) as Tone[];
  if (clear.length < 8 || clear.length < 0.4 * tones.length) return false;
  let climbs = 0;
  for (let i = 1; i < clear.length; i++) if (clear[i]!.frequency_hz > clear[i - 1]!.frequency_hz * 0.98) climbs++;
  const octaves = Math.log2(clear.at(-1)!.frequency_hz / clear[0]!.frequency_hz);
  return octaves >= SWEEP_OCTAVES && climbs >= 0.85 * (clear.length - 1);
}

function isCalibration(tones: (Tone | null)[]): boolean {
  const clear = tones.filter((tone) => tone !== null && tone.share >= 0.9) as Tone[];
  if (clear.length < 10 || clear.length < 0.7 * tones.length) return false;
  return CALIBRATORS_HZ.some((hz) => clear.every((tone) => Math.abs(tone.frequency_hz / hz - 1) < 0.03));
}

/** Loud and level for a second or more, then down by 25 dB and quiet from there on. */
function isSwitchedOff(levels: number[], frame_s: number): boolean {
  const loudest = Math.max(...levels);
  const steady = levels.findIndex((level) => level > loudest - 5);
  let end = steady;
  while (end < levels.length && levels[end]! > loudest - 6) end++;
  if ((end - steady) * FRAME * frame_s < 1) return false;
  const after = levels.slice(end + Math.round(2 / (FRAME * frame_s)));
  const rest = after.length > 0 ? after : levels.slice(-1);
  return rest.every((level) => level < loudest - 25);
}
