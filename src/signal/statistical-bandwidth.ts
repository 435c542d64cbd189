import type { Band } from './bands.ts';

/** Power gain of the analogue Butterworth band-pass of 6 poles at a frequency in hertz. */
function power(band: Band, frequency_hz: number): number {
  const centreSquared = band.lower_hz * band.upper_hz;
  const turn = (frequency_hz ** 2 - centreSquared) / (band.bandwidth_hz * frequency_hz);
  return 1 / (1 + turn ** 6);
}

const memo = new Map<Band['width'], number>();

/**
 * Statistical bandwidth of the band's filter in hertz: (integral of |H|^2)^2 / integral of |H|^4. The mean square of white noise
 * through the filter, over a time t, has a relative variance of 1/(bandwidth t) for long t, so that twice this product is its
 * number of degrees of freedom.
 *
 * Source: Bendat and Piersol, Random Data, chapter 8 (from memory); integrated by the trapezoid rule over log-frequency.
 */
export function statisticalBandwidth_hz(band: Band): number {
  let share = memo.get(band.width);
  if (share === undefined) {
    let square = 0;
    let fourth = 0;
    const step = 0.0005;
    for (let x = -5; x <= 5; x += step) {
      const frequency_hz = band.exact_hz * Math.exp(x);
      const gain = power(band, frequency_hz);
      square += gain * frequency_hz * step;
      fourth += gain * gain * frequency_hz * step;
    }
    share = square ** 2 / fourth / band.bandwidth_hz;
    memo.set(band.width, share);
  }
  return share * band.bandwidth_hz;
}
