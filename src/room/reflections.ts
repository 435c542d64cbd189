import { powerToDb } from '../signal/decibels.ts';
import { energyEnvelope } from '../signal/energy-envelope.ts';
import type { Reflection, ResponseReading } from './reading.ts';

const SPAN_S = 0.05;
const LEAD_S = 0.005;
const STEP_S = 0.000125;
/** Direct sound: its highest point within this time of time zero. */
const DIRECT_S = 0.005;
/** A peak nearer to the direct sound belongs to the sound of the source itself. */
const LEAST_DELAY_S = 0.001;
/** A peak stands out when the curve falls by so much on both sides before it rises above the peak. */
const PROMINENCE_DB = 3;
const WITHIN_DB = 20;
/**
 * A reflection stands so far over the median power of its surroundings, this much on both sides of it. Diffuse sound, whose power
 * is exponentially distributed, does so by chance once in a thousand independent values: exp(-10 ln 2).
 */
const STANDS_OUT_DB = 10;
const SURROUNDINGS_S = 0.005;
/** Peaks nearer together than this are one reflection with its ripple. */
const APART_S = 0.001;
const LOWER_HZ = 500;
const UPPER_HZ = 8000;
/** Speed of sound at 20 degrees Celsius: 331 + 0.6 t, ISO 354:2003, 8.1.2.1. */
const SOUND_M_S = 343;
/** Levels under this are drawn no further down. */
const FLOOR_DB = -120;

/** What is read off the first milliseconds. */
export type EarlyReading = Pick<ResponseReading, 'early' | 'reflections'>;

/**
 * Energy-time curve of the first 50 ms between 0.5 and 8 kHz (or what the rate holds of it), in dB relative to the peak of the
 * direct sound, and every reflection within 20 dB of it: delay after the direct peak, extra path at 343 m/s, level.
 *
 * A reflection is a peak of the curve at least 1 ms after the direct one and after any stronger one, with a dip of 3 dB on both
 * sides, that stands 10 dB over the median of the 5 ms around it (common practice, no source): where reflections lie so dense
 * that they blend, none is listed, and the curve alone shows them. Counted: pure diffuse decays list 1 to 2 by chance. The region
 * and the span follow EBU Tech 3276, which asks for 10 dB below the direct sound within 15 ms (from memory).
 * Empty where the response is silent there.
 */
export function readEarly(samples: Float64Array, rate_hz: number, zero_sample: number): EarlyReading {
  const from = Math.max(0, zero_sample - Math.round(LEAD_S * rate_hz));
  const to = Math.min(samples.length, zero_sample + Math.round((SPAN_S + 2 * LEAD_S) * rate_hz));
  const upper_hz = Math.min(UPPER_HZ, 0.4 * rate_hz);
  const envelope = energyEnvelope(samples.subarray(from, to), { rate_hz, lower_hz: LOWER_HZ, upper_hz });
  const zero = zero_sample - from;
  const direct = highest(envelope, zero, zero + Math.round(DIRECT_S * rate_hz));
  if (!(direct.power > 0)) return { early: { step_s: STEP_S, level_db: [] }, reflections: [] };
  const levels = averagedLevels(envelope, { rate_hz, zero, reference: direct.power });
  return { early: { step_s: STEP_S, level_db: levels }, reflections: findReflections(envelope, rate_hz, direct) };
}

function highest(envelope: Float64Array, from: number, to: number): { index: number; power: number } {
  let index = from;
  for (let i = from; i < Math.min(to, envelope.length); i++) if (envelope[i]! > (envelope[index] ?? 0)) index = i;
  return { index, power: envelope[index] ?? 0 };
}

function averagedLevels(envelope: Float64Array, at: { rate_hz: number; zero: number; reference: number }): number[] {
  const count = Math.round(SPAN_S / STEP_S);
  const levels: number[] = [];
  for (let i = 0; i < count; i++) {
    const from = at.zero + Math.round(i * STEP_S * at.rate_hz);
    const to = Math.max(from + 1, at.zero + Math.round((i + 1) * STEP_S * at.rate_hz));
    if (to > envelope.length) break;
    let sum = 0;
    for (let j = from; j < to; j++) sum += envelope[j]!;
    levels.push(Math.max(FLOOR_DB, powerToDb(sum / (to - from) / at.reference)));
  }
  return levels;
}

function findReflections(
  envelope: Float64Array,
  rate_hz: number,
  direct: { index: number; power: number },
): Reflection[] {
  const found: Reflection[] = [];
  const stop = Math.min(envelope.length - 1, direct.index + Math.round(SPAN_S * rate_hz));
  const dip = 10 ** (-PROMINENCE_DB / 10);
  let lowest = direct.power;
  let peak = 0;
  let peakAt = 0;
  let rising = false;
  const at = { rate_hz, first: direct.index + Math.round(LEAST_DELAY_S * rate_hz) };
  for (let i = direct.index + 1; i <= stop; i++) {
    const power = envelope[i]!;
    if (rising) {
      if (power > peak) [peak, peakAt] = [power, i];
      if (power >= peak * dip) continue;
      const delay_s = (peakAt - direct.index) / rate_hz;
      const level_db = powerToDb(peak / direct.power);
      if (delay_s >= LEAST_DELAY_S && level_db >= -WITHIN_DB && standsOut(envelope, peakAt, at)) {
        keepStronger(found, { delay_s, extra_path_m: delay_s * SOUND_M_S, level_db });
      }
      rising = false;
      lowest = power;
    } else if (power < lowest) lowest = power;
    else if (power * dip > lowest) {
      rising = true;
      [peak, peakAt] = [power, i];
    }
  }
  return found;
}

/** Whether a peak stands out of its surroundings, the direct sound (before `first`) not counted. */
function standsOut(envelope: Float64Array, peak: number, at: { rate_hz: number; first: number }): boolean {
  const half = Math.round(SURROUNDINGS_S * at.rate_hz);
  const from = Math.max(at.first, peak - half);
  const to = Math.min(envelope.length, peak + half + 1);
  const power = envelope[peak]!;
  const factor = 10 ** (STANDS_OUT_DB / 10);
  // The median lies that far under the peak where more than half of the values do: counting them spares the sorting.
  let under = 0;
  for (let i = from; i < to; i++) if (power >= factor * envelope[i]!) under++;
  return under > (to - from) >> 1;
}

/** Adds a reflection, unless one as near as the pass-band can tell apart is there: then the stronger stays. */
function keepStronger(inPlace: Reflection[], next: Reflection): void {
  const last = inPlace.at(-1);
  if (!last || next.delay_s - last.delay_s >= APART_S) inPlace.push(next);
  else if (next.level_db > last.level_db) inPlace[inPlace.length - 1] = next;
}
