import { eventSection } from './event-filter.ts';

/** Rumble under this says nothing about when a sound starts. */
const RUMBLE_HZ = 150;
/** The filter has settled after so long. */
const SETTLING_S = 0.03;
/** The direct sound must tower over what was heard before it by this factor for its rise to be told from noise. */
const GUARD = 1.3;
/** The first arrival: what comes within this time of its first strong sample. */
const DIRECT_S = 0.0025;

/**
 * `timeZero` of a recording that still has its rumble: a stretch of it is freed of what lies below 150 Hz first. Where the
 * stretch starts with the recording, nothing is known of what came before, and the filter starts from rest.
 */
export function timeZeroOfRecording(
  samples: Float64Array,
  { rate_hz, from, to }: { rate_hz: number; from: number; to: number },
): number {
  const start = Math.max(0, from - Math.round(SETTLING_S * rate_hz));
  const end = Math.min(samples.length, to + Math.round(DIRECT_S * rate_hz));
  const { b0, b1, a1, a2 } = eventSection({ rate_hz, corner_hz: RUMBLE_HZ, pass: 'high' });
  let [s1, s2] = [0, 0];
  const stretch = samples.slice(start, end);
  for (let i = 0; i < stretch.length; i++) {
    const x = stretch[i]!;
    const y = b0 * x + s1;
    s1 = b1 * x - a1 * y + s2;
    s2 = b0 * x - a2 * y;
    stretch[i] = y;
  }
  return start + timeZero(stretch, { rate_hz, from: from - start, to: to - start });
}

/**
 * Time zero of a response: the first sample at or above 20 dB below the maximum of the direct sound (ISO 3382-1:2009,
 * A.2.1, where it is the start of the response), the direct sound being the first strong arrival and not a later,
 * stronger reflection. Where noise before the event comes within 20 dB of the direct sound, the threshold is held just
 * above that noise.
 *
 * @param samples the signal, low frequencies taken away
 * @param from first sample that may belong to the event
 * @param to end of the stretch in which the direct sound is looked for
 * @returns index of the sample
 */
export function timeZero(
  samples: Float64Array,
  { rate_hz, from, to }: { rate_hz: number; from: number; to: number },
): number {
  const noisePeak = peak(samples, from - Math.round(0.02 * rate_hz), from - Math.round(0.001 * rate_hz));
  const whole = peak(samples, from, to);
  const first = firstAtOrAbove(samples, from, to, Math.max(whole / 10, GUARD * noisePeak));
  const direct = peak(samples, first, first + Math.round(DIRECT_S * rate_hz));
  return firstAtOrAbove(samples, from, first + 1, Math.max(direct / 10, GUARD * noisePeak));
}

function peak(samples: Float64Array, from: number, to: number): number {
  let highest = 0;
  const end = Math.min(samples.length, to);
  for (let i = Math.max(0, from); i < end; i++) highest = Math.max(highest, Math.abs(samples[i]!));
  return highest;
}

/** The first sample that reaches the level, or the last of the stretch where none does. */
function firstAtOrAbove(samples: Float64Array, from: number, to: number, level: number): number {
  const end = Math.min(samples.length, to);
  for (let i = Math.max(0, from); i < end; i++) if (Math.abs(samples[i]!) >= level) return i;
  return Math.max(0, end - 1);
}
