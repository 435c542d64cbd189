import { eventFilter } from './event-filter.ts';
import { levelTrace, meanLevel_db } from './level-trace.ts';
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

function rangeOf_db({ samples, rate_hz, zero_sample }: Response, from_hz: number, to_hz: number): number {
  let band = samples;
  for (let pass = 0; pass < 2; pass++) {
    band = eventFilter(band, { rate_hz, corner_hz: from_hz, pass: 'high' });
    band = eventFilter(band, { rate_hz, corner_hz: to_hz, pass: 'low' });
  }
  const trace = levelTrace(band, rate_hz);
  const zero = Math.floor(zero_sample / trace.frame_samples);
  const noise_db = meanLevel_db(trace, Math.max(zero + DIRECT_FRAMES, trace.frames - NOISE_FRAMES), trace.frames);
  return meanLevel_db(trace, zero, zero + DIRECT_FRAMES) - noise_db;
}
