import type { Random } from './random.ts';

/**
 * Noise of a quiet room and its recorder: about 3 dB an octave down from 30 Hz to 2 kHz, then level, as ventilation under
 * the hiss of an amplifier. Three leaky sums of white noise, a decade apart, make the slope.
 *
 * @param level root mean square of the result, full scale 1, in expectation
 */
export function backgroundNoise(
  random: Random,
  { length, level, rate_hz }: { length: number; level: number; rate_hz: number },
): Float64Array {
  const corners_hz = [30, 220, 1600];
  const keep = corners_hz.map((corner) => Math.exp((-2 * Math.PI * corner) / rate_hz));
  // Each sum's variance is weight^2 (1 - keep) / (1 + keep); equal variances make equal power in each decade.
  const weights = keep.map((k) => Math.sqrt((1 + k) / (1 - k)));
  const states = [0, 0, 0];
  const hiss = 0.35;
  const variance = corners_hz.length + hiss * hiss;
  const scale = level / Math.sqrt(variance);
  const out = new Float64Array(length);
  for (let i = 0; i < length; i++) {
    let sum = hiss * random.normal();
    for (let band = 0; band < 3; band++) {
      states[band] = keep[band]! * states[band]! + (1 - keep[band]!) * random.normal();
      sum += weights[band]! * states[band]!;
    }
    out[i] = scale * sum;
  }
  return out;
}
