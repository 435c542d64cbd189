/** One second-order section; its b2 equals its b0, as that of every Butterworth low-pass and high-pass does. */
export interface EventSection {
  b0: number;
  b1: number;
  a1: number;
  a2: number;
}

/**
 * The section of a second-order Butterworth high-pass or low-pass made for finding events: its delay at the corner is a
 * fraction of a millisecond and it is never used on samples that are measured.
 *
 * Coefficients by the bilinear transform with the corner pre-warped (Oppenheim and Schafer, Discrete-Time Signal
 * Processing, 3rd ed., 7.1.2).
 *
 * @param corner_hz -3 dB point, below half the rate
 */
export function eventSection({
  rate_hz,
  corner_hz,
  pass,
}: {
  rate_hz: number;
  corner_hz: number;
  pass: 'high' | 'low';
}): EventSection {
  const warped = Math.tan((Math.PI * corner_hz) / rate_hz);
  const norm = 1 / (1 + Math.SQRT2 * warped + warped * warped);
  const b0 = pass === 'high' ? norm : warped * warped * norm;
  const b1 = pass === 'high' ? -2 * b0 : 2 * b0;
  const a1 = 2 * (warped * warped - 1) * norm;
  const a2 = (1 - Math.SQRT2 * warped + warped * warped) * norm;
  return { b0, b1, a1, a2 };
}
