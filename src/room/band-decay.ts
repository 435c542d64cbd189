import type { BandSignal } from '../signal/band-filter.ts';
import { Workspace } from '../signal/workspace.ts';

/** The energy of one band of a response over time, summed up so that any window costs two look-ups. */
export interface BandDecay {
  rate_hz: number;
  /** Index of time zero. */
  zero: number;
  /** First index past the usable end: the filter, run backwards, rises from rest over the last of the samples. */
  end: number;
  /** Energy of the samples before each index: `length` is one more than that of the samples. */
  cumulative: Float64Array;
}

/** The reversed filter needs this many times 1/bandwidth, from the end of the samples back, to reach its full output. */
const RISE = 1.5;

/**
 * The squared band signal, summed. Energy is in squared amplitude times seconds, so that bands kept at different rates compare.
 *
 * @param end_s end of the recorded sound, in seconds after time zero.
 * @param workspace holds the sums, until it is used again; left out, they have memory of their own.
 */
export function bandDecay(signal: BandSignal, end_s: number, workspace = new Workspace()): BandDecay {
  const { samples, rate_hz, zero, band } = signal;
  const cumulative = workspace.take(samples.length + 1);
  const step_s = 1 / rate_hz;
  let sum = 0;
  cumulative[0] = 0;
  for (let i = 0; i < samples.length; i++) {
    sum += samples[i]! * samples[i]! * step_s;
    cumulative[i + 1] = sum;
  }
  const usable_s = end_s - RISE / band.bandwidth_hz;
  const end = Math.max(zero, Math.min(samples.length, zero + Math.floor(usable_s * rate_hz)));
  return { rate_hz, zero, end, cumulative };
}

/** Seconds after time zero at which the usable samples end. */
export function usableEnd_s({ rate_hz, zero, end }: BandDecay): number {
  return (end - zero) / rate_hz;
}

/**
 * Energy from the start of the band's lead up to `time_s` after time zero. A sample's energy is spread evenly over the interval
 * that it stands in the middle of: at the low rates of low bands half an interval is half a millisecond.
 */
export function energyUntil({ rate_hz, zero, cumulative }: BandDecay, time_s: number): number {
  const position = Math.min(cumulative.length - 1, Math.max(0, zero + 0.5 + time_s * rate_hz));
  const index = Math.floor(position);
  const before = cumulative[index]!;
  const after = cumulative[Math.min(index + 1, cumulative.length - 1)]!;
  return before + (position - index) * (after - before);
}

/** Mean power between two times. 0 for an empty window. */
export function meanPower(decay: BandDecay, from_s: number, to_s: number): number {
  return to_s > from_s ? (energyUntil(decay, to_s) - energyUntil(decay, from_s)) / (to_s - from_s) : 0;
}
