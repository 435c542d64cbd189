import { amplitudeToDb, dbToAmplitude } from '../signal/decibels.ts';
import type { Response } from './response.ts';

/** A sound with the index of its direct sound: a response, or a cut as long as a clip needs. */
export type HeardSound = Pick<Response, 'rate_hz' | 'samples' | 'zero_sample'>;

/** Two clips of one length and one level of direct sound, to be heard one after the other. */
export interface ListeningPair {
  rate_hz: [before: number, after: number];
  clips: [before: Float64Array, after: Float64Array];
  /** What was applied to each recording; nothing else was altered. */
  gain_db: [before: number, after: number];
}

/** A clip starts so long before the direct sound, so that the onset is not cut. */
const LEAD_S = 0.02;
const LONGEST_S = 2.5;
/** The louder clip peaks here: clear of full scale, so that nothing is clipped in play. */
const PEAK_DB = -3;

/**
 * One response from before and one from after, cut to one length and matched by the energy of their direct sound, never by
 * their peak: a peak is a few samples, and what the ear holds against the room is the direct sound.
 *
 * @param direct energy of the direct sound of each response (first 5 ms, 500 Hz and up), as mean square times seconds
 */
export function listeningPair(
  pair: readonly [before: HeardSound, after: HeardSound],
  direct: readonly [before: number, after: number],
): ListeningPair {
  const lead_s = Math.min(LEAD_S, ...pair.map(({ zero_sample, rate_hz }) => zero_sample / rate_hz));
  const tail_s = Math.min(
    LONGEST_S,
    ...pair.map(({ samples, zero_sample, rate_hz }) => (samples.length - zero_sample) / rate_hz),
  );
  const cuts = pair.map(({ samples, zero_sample, rate_hz }) =>
    samples.subarray(zero_sample - Math.round(lead_s * rate_hz), zero_sample + Math.round(tail_s * rate_hz)),
  );
  const matching = direct.map((energy) => 1 / Math.sqrt(energy));
  const peaks = cuts.map((cut, i) => matching[i]! * cut.reduce((most, value) => Math.max(most, Math.abs(value)), 0));
  const common = dbToAmplitude(PEAK_DB) / Math.max(...peaks);
  const gains = matching.map((gain) => gain * common);
  return {
    rate_hz: [pair[0].rate_hz, pair[1].rate_hz],
    clips: [cuts[0]!.map((value) => value * gains[0]!), cuts[1]!.map((value) => value * gains[1]!)],
    gain_db: [amplitudeToDb(gains[0]!), amplitudeToDb(gains[1]!)],
  };
}
