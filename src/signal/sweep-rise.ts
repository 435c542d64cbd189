import { spectrumOf } from './fft.ts';

/** The two stretches compared: this long, one ending so long before the arrival, one beginning with it. */
const STRETCH_S = 0.08;
const CLEAR_S = 0.02;
/** Before the arrival, for a clock that is off: its smear. */
const SMEAR_S = 0.006;
const RISE_DB = 6;

/** What `response` must hold before and after the arrival, seconds. */
export const RISE_BEFORE_S = STRETCH_S + CLEAR_S;
export const RISE_AFTER_S = STRETCH_S - SMEAR_S;

/**
 * In how many of the octaves below `top_hz`, at most four and none below `bottom_hz`, a deconvolved recording rises by 6 dB or more at one
 * moment. A sweep arrives in all at once. What is no sweep does not: the inverse filter spreads a clap or a hum
 * over time, each octave by the time constant times ln 2 before the one below.
 *
 * @param response from RISE_BEFORE_S before the moment to RISE_AFTER_S after it.
 */
export function octavesThatRise(
  response: Float64Array,
  { rate_hz, top_hz, bottom_hz }: { rate_hz: number; top_hz: number; bottom_hz: number },
): { risen: number; octaves: number } {
  const stretch = Math.round(STRETCH_S * rate_hz);
  const before = spectrumOf(faded(response.subarray(0, stretch)));
  const after = spectrumOf(faded(response.subarray(response.length - stretch)));
  const bin_hz = rate_hz / (before.length / 2);
  let [risen, octaves] = [0, 0];
  for (let upper_hz = top_hz; octaves < 4 && upper_hz / 2 >= bottom_hz; upper_hz /= 2) {
    const range = { from: Math.round(upper_hz / 2 / bin_hz), to: Math.round(upper_hz / bin_hz) };
    octaves += 1;
    if (powerIn(after, range) > powerIn(before, range) * 10 ** (RISE_DB / 10)) risen += 1;
  }
  return { risen, octaves };
}

/** A tenth of the stretch is faded at either end, so that one octave does not leak into another. */
function faded(samples: Float64Array): Float64Array {
  const edge = Math.round(samples.length / 10);
  return samples.map((x, n) => {
    const inside = Math.min(n + 0.5, samples.length - n - 0.5);
    return inside >= edge ? x : x * (0.5 - 0.5 * Math.cos((Math.PI * inside) / edge));
  });
}

function powerIn(spectrum: Float64Array, { from, to }: { from: number; to: number }): number {
  let power = 0;
  for (let k = from; k < to; k += 1) power += spectrum[2 * k]! ** 2 + spectrum[2 * k + 1]! ** 2;
  return power;
}
