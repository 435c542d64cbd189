import { powerToDb } from '../signal/decibels.ts';
import { type EventSection, eventSection } from './event-filter.ts';
import { SILENCE_DB } from './level-trace.ts';
import type { Response } from './response.ts';

/** Low octaves, highest first: upper edge and lower edge in Hz, nominal. */
const LOW_OCTAVES = [
  { from_hz: 180, to_hz: 350 },
  { from_hz: 90, to_hz: 180 },
] as const;
/**
 * T20 needs 35 dB from the start of the decay to the noise (ISO 3382-2:2008). The mean level of the first 60 ms lies some 3 dB
 * under the start where T is half a second.
 */
const NEEDED_DB = 32;
const DIRECT_FRAMES = 60;
const NOISE_FRAMES = 300;

/**
 * Below which frequency the source of a take leaves too little above the noise for any decay time: the upper edge of the
 * highest of the octaves 125 and 250 Hz whose level over the noise is under 35 dB in the middle response.
 *
 * @returns 350, 180, or null where both octaves are filled
 */
export function emptyBelow_hz(responses: Response[]): number | null {
  for (const { from_hz, to_hz } of LOW_OCTAVES) {
    const ranges = responses.map((response) => rangeOf_db(response, from_hz, to_hz)).sort((a, b) => a - b);
    const middle = ranges[Math.floor(ranges.length / 2)];
    if (middle !== undefined && middle < NEEDED_DB) return to_hz;
  }
  return null;
}

/** The filters have settled after so many frames. */
const RUN_IN_FRAMES = 60;

function rangeOf_db({ samples, rate_hz, zero_sample }: Response, from_hz: number, to_hz: number): number {
  const frame_samples = Math.max(1, Math.round(rate_hz / 1000));
  const frames = Math.floor(samples.length / frame_samples);
  const zero = Math.floor(zero_sample / frame_samples);
  const high = eventSection({ rate_hz, corner_hz: from_hz, pass: 'high' });
  const low = eventSection({ rate_hz, corner_hz: to_hz, pass: 'low' });
  const level_db = (from: number, to: number) => {
    if (to <= from) return SILENCE_DB;
    // Only what is read is filtered.
    const start = Math.max(0, from - RUN_IN_FRAMES);
    const stretch = samples.subarray(start * frame_samples, to * frame_samples);
    const energy = energyPast(stretch, (from - start) * frame_samples, { high, low });
    return energy > 0 ? Math.max(SILENCE_DB, powerToDb(energy / ((to - from) * frame_samples))) : SILENCE_DB;
  };
  const noise_db = level_db(Math.max(zero + DIRECT_FRAMES, frames - NOISE_FRAMES), frames);
  return level_db(zero, Math.min(frames, zero + DIRECT_FRAMES)) - noise_db;
}

/** Energy from an index on after a high-pass and a low-pass, twice each, in one pass: the filtered signal itself is not wanted. */
function energyPast(
  samples: Float64Array,
  from: number,
  { high: h, low: l }: { high: EventSection; low: EventSection },
): number {
  let [a1, a2, b1, b2, c1, c2, d1, d2] = [0, 0, 0, 0, 0, 0, 0, 0];
  let sum = 0;
  for (let i = 0; i < samples.length; i++) {
    const x = samples[i]!;
    const a = h.b0 * x + a1;
    a1 = h.b1 * x - h.a1 * a + a2;
    a2 = h.b0 * x - h.a2 * a;
    const b = l.b0 * a + b1;
    b1 = l.b1 * a - l.a1 * b + b2;
    b2 = l.b0 * a - l.a2 * b;
    const c = h.b0 * b + c1;
    c1 = h.b1 * b - h.a1 * c + c2;
    c2 = h.b0 * b - h.a2 * c;
    const d = l.b0 * c + d1;
    d1 = l.b1 * c - l.a1 * d + d2;
    d2 = l.b0 * c - l.a2 * d;
    if (i >= from) sum += d * d;
  }
  return sum;
}
