/** Changing the rate by two with a linear-phase half-band filter: no shift in time. */

import { type Room, Workspace } from './workspace.ts';

/** Samples on a grid of time with a marked time zero. */
export interface Sampled {
  samples: Float64Array;
  rate_hz: number;
  /** Index of time zero. May lie outside the samples. */
  zero: number;
}

const KAISER_BETA = 7.9;

/** Modified Bessel function of the first kind, order 0, by its power series. */
function bessel0(x: number): number {
  let term = 1;
  let sum = 1;
  for (let k = 1; term > 1e-17 * sum; k++) {
    term *= (x / (2 * k)) ** 2;
    sum += term;
  }
  return sum;
}

/** Odd taps h[1], h[3], ... of a half-band filter (Kaiser window); the middle tap is 1/2, all other even taps are zero. */
function oddTaps(pairs: number): Float64Array {
  const taps = Float64Array.from({ length: pairs }, (_, j) => {
    const n = 2 * j + 1;
    const window = bessel0(KAISER_BETA * Math.sqrt(1 - (n / (2 * pairs)) ** 2)) / bessel0(KAISER_BETA);
    return (window * Math.sin((Math.PI * n) / 2)) / (Math.PI * n);
  });
  const sum = taps.reduce((total, tap) => total + tap, 0);
  return taps.map((tap) => (tap * 0.25) / sum);
}

/**
 * How close to half the new rate the filter reaches, in cycles a sample of the higher rate. `sharp`, 26 pairs of taps: 0 dB up to
 * 0.226 and 80 dB from 0.274 on. `gentle`, 8 pairs, a third of the work: 0 dB up to 0.17 and 80 dB from 0.33 on, for what is
 * read in the lower two thirds of the new range alone. `slight`, 2 pairs, as flat at 0 Hz as they can be: 0.001 dB up to 0.025 and 79 dB
 * from 0.475 on, for what is read in the lowest twentieth of the new range.
 */
export type Skirt = 'sharp' | 'gentle' | 'slight';
const SKIRTS = {
  sharp: { pairs: 26, taps: oddTaps(26) },
  gentle: { pairs: 8, taps: oddTaps(8) },
  slight: { pairs: 2, taps: Float64Array.of(9 / 32, -1 / 32) },
} as const;

/** Amplitude gain at `frequency`, in cycles a sample of the higher rate: of halving with `skirt`, and of doubling, always sharp. */
export function halfBandGain(frequency: number, skirt: Skirt): number {
  const { taps } = SKIRTS[skirt];
  return taps.reduce((sum, tap, j) => sum + 2 * tap * Math.cos(2 * Math.PI * frequency * (2 * j + 1)), 0.5);
}

/** A copy with `margin` zeros on both sides. */
function padded(samples: Float64Array, margin: number): Float64Array {
  const out = new Float64Array(samples.length + 2 * margin);
  out.set(samples, margin);
  return out;
}

/**
 * Half the rate; time zero stays on the grid. The input is taken as zero outside its samples.
 *
 * @param room holds the samples of the result, as long as it keeps them; left out, they have memory of their own.
 */
export function halveRate(
  { samples, rate_hz, zero }: Sampled,
  skirt: Skirt = 'sharp',
  room: Room = new Workspace(),
): Sampled {
  const { pairs, taps } = SKIRTS[skirt];
  const phase = ((zero % 2) + 2) % 2;
  const length = Math.max(0, Math.ceil((samples.length - phase) / 2));
  const out = room.take(length);
  // One more than the taps reach: the next sample is read ahead.
  const within = Math.min(length, Math.ceil(Math.max(0, 2 * pairs + 1 - phase) / 2));
  for (let m = 0; m < within; m++) out[m] = oneOutput(samples, phase + 2 * m, taps);
  const done = outputsByFour(out, { samples, taps, phase, from: within });
  for (let m = done; m < length; m++) out[m] = oneOutput(samples, phase + 2 * m, taps);
  return { samples: out, rate_hz: rate_hz / 2, zero: (zero - phase) / 2 };
}

/**
 * Fills `out` from an index on, as far as all taps lie within the samples, and returns where it stopped. Four outputs side by side: each sum
 * waits for its own last term, seen to cost three times as much one by one. From one pair of taps to the next the samples of the four
 * outputs move on by one, so that only two new ones are read. In a function of its own, since the loop was seen to be thrown out
 * of its compiled form, some ninety times over, by what followed it.
 */
function outputsByFour(
  out: Float64Array,
  { samples, taps, phase, from }: { samples: Float64Array; taps: Float64Array; phase: number; from: number },
): number {
  const reach = 2 * taps.length - 1;
  let m = from;
  for (let at = phase + 2 * m; at + 8 + reach < samples.length; m += 4, at += 8) {
    // One by one: taken from an array, each value of the loop was seen to get memory of its own.
    let a = 0.5 * samples[at]!;
    let b = 0.5 * samples[at + 2]!;
    let c = 0.5 * samples[at + 4]!;
    let d = 0.5 * samples[at + 6]!;
    let aBefore = samples[at - 1]!;
    let bBefore = samples[at + 1]!;
    let cBefore = samples[at + 3]!;
    let dBefore = samples[at + 5]!;
    let aAfter = bBefore;
    let bAfter = cBefore;
    let cAfter = dBefore;
    let dAfter = samples[at + 7]!;
    for (let j = 0, before = at - 3, after = at + 9; j < taps.length; j++, before -= 2, after += 2) {
      const tap = taps[j]!;
      a += tap * (aBefore + aAfter);
      b += tap * (bBefore + bAfter);
      c += tap * (cBefore + cAfter);
      d += tap * (dBefore + dAfter);
      dBefore = cBefore;
      cBefore = bBefore;
      bBefore = aBefore;
      aBefore = samples[before]!;
      aAfter = bAfter;
      bAfter = cAfter;
      cAfter = dAfter;
      dAfter = samples[after]!;
    }
    out[m] = a;
    out[m + 1] = b;
    out[m + 2] = c;
    out[m + 3] = d;
  }
  return m;
}

/** One output near an end of the samples, beyond which they are zero. */
function oneOutput(samples: Float64Array, at: number, taps: Float64Array): number {
  let sum = 0.5 * samples[at]!;
  for (let j = 0; j < taps.length; j++) {
    sum += taps[j]! * ((samples[at - 2 * j - 1] ?? 0) + (samples[at + 2 * j + 1] ?? 0));
  }
  return sum;
}

/** Twice the rate, interpolated; every second value is the input's own. The input is taken as zero outside its samples. */
export function doubleRate({ samples, rate_hz, zero }: Sampled): Sampled {
  const { pairs, taps } = SKIRTS.sharp;
  const input = padded(samples, pairs);
  const out = new Float64Array(2 * samples.length);
  for (let m = 0; m < samples.length; m++) {
    const at = pairs + m;
    let between = 0;
    for (let j = 0; j < pairs; j++) between += taps[j]! * (input[at - j]! + input[at + 1 + j]!);
    out[2 * m] = samples[m]!;
    out[2 * m + 1] = 2 * between;
  }
  return { samples: out, rate_hz: 2 * rate_hz, zero: 2 * zero };
}
