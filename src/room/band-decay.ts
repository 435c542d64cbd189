import type { BandEnergy, BandSignal } from '../signal/band-filter.ts';

/** The energy of one band of a response over time, summed up so that any window costs two look-ups. */
export interface BandDecay {
  rate_hz: number;
  /** Index of time zero. */
  zero: number;
  /** First index past the usable end: the filter, run backwards, rises from rest over the last of the samples. */
  end: number;
  /** Energy of the samples before each index, but for a constant: differences count. One value more than there are samples. */
  cumulative: Float64Array;
}

/** The reversed filter needs this many times 1/bandwidth, from the end of the samples back, to reach its full output. */
const RISE = 1.5;

/**
 * The energy of a band of a response. It is in squared amplitude times seconds, so that bands kept at different rates compare.
 *
 * @param end_s end of the recorded sound, in seconds after time zero.
 */
export function decayOfEnergy({ energy, rate_hz, zero, band }: BandEnergy, end_s: number): BandDecay {
  const usable_s = end_s - RISE / band.bandwidth_hz;
  const end = Math.max(zero, Math.min(energy.length - 1, zero + Math.floor(usable_s * rate_hz)));
  return { rate_hz, zero, end, cumulative: energy };
}

/** The same of a band's signal. */
export function bandDecay({ samples, rate_hz, zero, band }: BandSignal, end_s: number): BandDecay {
  const energy = new Float64Array(samples.length + 1);
  for (let i = 0; i < samples.length; i++) energy[i + 1] = energy[i]! + samples[i]! ** 2 / rate_hz;
  return decayOfEnergy({ energy, rate_hz, zero, band }, end_s);
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
