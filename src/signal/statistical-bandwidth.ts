import { bandFilterPower } from './band-filter.ts';
import type { Band } from './bands.ts';

const STEPS_IN_BAND = 200;
/** Nothing that counts passes the filter further out than this, in bandwidths from the midband. */
const REACH = 4;
const KEPT = 256;
const memo = new Map<string, number>();

/**
 * Statistical bandwidth in hertz of the band's filter as it runs at `rate_hz`: (integral of |H|^2)^2 / integral of |H|^4. The
 * mean square of white noise through the filter over a time t has a relative variance of 1/(bandwidth t) for long t, so that
 * twice this product is its number of degrees of freedom. The analogue filter has 0.4 pi times the nominal bandwidth; the
 * bilinear transform takes off up to 4 %.
 *
 * Source: Bendat and Piersol, Random Data, chapter 8 (from memory); integrated in equal steps of frequency.
 */
export function statisticalBandwidth_hz(band: Band, rate_hz: number): number {
  const key = `${band.width} ${band.centre_hz} ${rate_hz}`;
  const known = memo.get(key);
  if (known !== undefined) return known;
  const step_hz = band.bandwidth_hz / STEPS_IN_BAND;
  const most_hz = Math.min(band.exact_hz + REACH * band.bandwidth_hz, rate_hz / 2);
  const powerAt = bandFilterPower(band, rate_hz);
  let [square, fourth] = [0, 0];
  for (let f = Math.max(step_hz, band.exact_hz - REACH * band.bandwidth_hz); f < most_hz; f += step_hz) {
    const power = powerAt(f);
    square += power * step_hz;
    fourth += power * power * step_hz;
  }
  const found_hz = square ** 2 / fourth;
  if (memo.size >= KEPT) memo.clear();
  memo.set(key, found_hz);
  return found_hz;
}
