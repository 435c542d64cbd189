import { powerToDb } from '../signal/decibels.ts';
import { powerOfTwoFrom, spectrumOf } from '../signal/fft.ts';

/** What a recorded calibrator tone says of the chain from microphone to file. */
export interface Calibration {
  ok: true;
  /** To be added to a level relative to full scale (mean square 1) to get a sound pressure level, dB. */
  offset_db: number;
  /** Level of the tone in the file, mean square relative to 1, dB. */
  tone_db: number;
  frequency_hz: number;
  /** Length of the steady stretch it was read from. */
  seconds: number;
}

export interface NoCalibration {
  ok: false;
  /** What is wrong and the mend, in a sentence. */
  reason: string;
}

const STEP_S = 0.125;
/** A calibrator on a microphone is steady within tenths of a decibel; handling it is not. */
const STEADY_WITHIN_DB = 0.5;
const LEAST_S = 2;
/** So much of the energy must be the tone. */
const LEAST_PURITY = 0.9;
const TONE_REACH = 0.03;
const LONGEST_TRANSFORM = 2 ** 17;

/**
 * The calibrator's tone in a take and what it makes of the levels of all takes at the same gain. The longest stretch steady within
 * 0.5 dB is taken, of two seconds or more; nine tenths of its energy must lie within 3 % of one frequency (class 1 and 2
 * calibrators give 94 or 114 dB at 1 kHz or 250 Hz: IEC 60942). Only the energy about that frequency counts.
 *
 * @param options.level_db the sound pressure level the calibrator states, dB relative to 20 uPa.
 */
export function readCalibration(
  samples: Float64Array,
  options: { rate_hz: number; level_db: number },
): Calibration | NoCalibration {
  const { rate_hz, level_db } = options;
  const steady = steadiest(samples, rate_hz);
  const seconds = steady.length / rate_hz;
  if (seconds < LEAST_S) {
    return refuse(`no tone is steady for ${LEAST_S} s: keep the calibrator on the microphone for ten seconds`);
  }
  if (steady.some((x) => Math.abs(x) > 0.999))
    return refuse('the tone is clipped: lower the gain and record all takes again');
  const tone = strongestTone(steady, rate_hz);
  if (tone.purity < LEAST_PURITY) {
    return refuse(
      `only ${Math.floor(100 * tone.purity)} % of the sound is one tone: is this the take of the calibrator?`,
    );
  }
  const power = steady.reduce((sum, x) => sum + x * x, 0) / steady.length;
  const tone_db = powerToDb(power * tone.purity);
  return { ok: true, offset_db: level_db - tone_db, tone_db, frequency_hz: tone.frequency_hz, seconds };
}

function refuse(reason: string): NoCalibration {
  return { ok: false, reason };
}

/** The longest stretch of steps whose levels all lie within the bound, silence left out. */
function steadiest(samples: Float64Array, rate_hz: number): Float64Array {
  const step = Math.round(STEP_S * rate_hz);
  let best = { from: 0, to: 0 };
  let [from, low_db, high_db] = [0, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (let i = 0; (i + 1) * step <= samples.length; i += 1) {
    const part = samples.subarray(i * step, (i + 1) * step);
    const level_db = powerToDb(part.reduce((sum, x) => sum + x * x, 0) / step);
    [low_db, high_db] = [Math.min(low_db, level_db), Math.max(high_db, level_db)];
    if (high_db - low_db > STEADY_WITHIN_DB || level_db === Number.NEGATIVE_INFINITY)
      [from, low_db, high_db] = [i, level_db, level_db];
    if (level_db > Number.NEGATIVE_INFINITY && i + 1 - from > best.to - best.from) best = { from, to: i + 1 };
  }
  return samples.subarray(best.from * step, best.to * step);
}

/** The strongest frequency, and the share of all energy from 20 Hz up that lies within 3 % of it, under a Hann window. */
function strongestTone(samples: Float64Array, rate_hz: number): { frequency_hz: number; purity: number } {
  const part = samples.subarray(0, LONGEST_TRANSFORM);
  const windowed = part.map((x, n) => x * (1 - Math.cos((2 * Math.PI * (n + 0.5)) / part.length)));
  const size = powerOfTwoFrom(part.length);
  const spectrum = spectrumOf(windowed, size);
  const power = Float64Array.from({ length: size / 2 }, (_, k) => spectrum[2 * k]! ** 2 + spectrum[2 * k + 1]! ** 2);
  const hz = rate_hz / size;
  const lowest = Math.ceil(20 / hz);
  let top = lowest;
  for (let k = lowest; k < power.length; k += 1) if (power[k]! > power[top]!) top = k;
  let [tone, moment, whole] = [0, 0, 0];
  for (let k = lowest; k < power.length; k += 1) {
    whole += power[k]!;
    if (Math.abs(k - top) > TONE_REACH * top) continue;
    tone += power[k]!;
    moment += power[k]! * k;
  }
  return { frequency_hz: (moment / tone) * hz, purity: tone / whole };
}
