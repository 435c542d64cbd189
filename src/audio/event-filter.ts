/**
 * A second-order Butterworth high-pass or low-pass, applied forwards, made for finding events: its delay at the
 * corner is a fraction of a millisecond and it is never used on samples that are measured.
 *
 * Coefficients by the bilinear transform with the corner pre-warped (Oppenheim and Schafer, Discrete-Time Signal
 * Processing, 3rd ed., 7.1.2).
 *
 * @param corner_hz -3 dB point, below half the rate
 * @returns a new array, as long as `samples`
 */
export function eventFilter(
  samples: Float64Array,
  { rate_hz, corner_hz, pass }: { rate_hz: number; corner_hz: number; pass: 'high' | 'low' },
): Float64Array {
  const warped = Math.tan((Math.PI * corner_hz) / rate_hz);
  const norm = 1 / (1 + Math.SQRT2 * warped + warped * warped);
  const b0 = pass === 'high' ? norm : warped * warped * norm;
  const b1 = pass === 'high' ? -2 * b0 : 2 * b0;
  const a1 = 2 * (warped * warped - 1) * norm;
  const a2 = (1 - Math.SQRT2 * warped + warped * warped) * norm;
  const out = new Float64Array(samples.length);
  let s1 = 0;
  let s2 = 0;
  for (let i = 0; i < samples.length; i++) {
    const x = samples[i]!;
    const y = b0 * x + s1;
    s1 = b1 * x - a1 * y + s2;
    s2 = b0 * x - a2 * y;
    out[i] = y;
  }
  return out;
}
