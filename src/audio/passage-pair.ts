import { dbToAmplitude } from '../signal/decibels.ts';
import type { ListeningPair } from './listening-pair.ts';
import { loudness } from './loudness.ts';
import { matchingGains_db } from './passage.ts';

/** One channel of a passage. */
export interface PassageSound {
  rate_hz: number;
  samples: Float64Array;
}

/** Long enough to hear the room in the gaps, short enough to remember the other. */
const LONGEST_S = 30;

/**
 * The beginnings of two passages, equally long and up to half a minute, at one loudness (ITU-R BS.1770, reckoned over what is heard), with the peak
 * of the louder at -3 dB. Nothing but the gain is altered; null where either is silent.
 */
export function passagePair(before: PassageSound, after: PassageSound): ListeningPair | null {
  const seconds = Math.min(LONGEST_S, ...[before, after].map(({ samples, rate_hz }) => samples.length / rate_hz));
  const [one, other] = [clipOf(before, seconds), clipOf(after, seconds)];
  const gains = matchingGains_db(one, other);
  if (gains === null) return null;
  const scaled = (samples: Float64Array, gain_db: number) => samples.map((value) => value * dbToAmplitude(gain_db));
  return {
    rate_hz: [before.rate_hz, after.rate_hz],
    clips: [scaled(one.samples, gains.before), scaled(other.samples, gains.after)],
    gain_db: [gains.before, gains.after],
  };
}

function clipOf(
  { samples, rate_hz }: PassageSound,
  seconds: number,
): { samples: Float64Array; integrated_lufs: number | null } {
  const clip = samples.subarray(0, Math.round(seconds * rate_hz));
  return { samples: clip, integrated_lufs: loudness([clip], { rate_hz }).integrated_lufs };
}
