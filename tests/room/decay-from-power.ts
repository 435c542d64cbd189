import type { BandDecay } from '../../src/room/band-decay.ts';

/** A decay whose power over time is given by a formula, exact up to the sampling: no filter, no chance. */
export function decayFromPower(
  power: (time_s: number) => number,
  options: { rate_hz: number; end_s: number },
): BandDecay {
  const { rate_hz, end_s } = options;
  const count = Math.round(end_s * rate_hz);
  const cumulative = new Float64Array(count + 1);
  for (let i = 0; i < count; i++) cumulative[i + 1] = cumulative[i]! + power((i + 0.5) / rate_hz) / rate_hz;
  // Sample i stands for the time from i to i + 1 intervals: its middle lies half an interval after time zero.
  return { rate_hz, zero: -0.5, end: count, cumulative };
}

/** Decay rate of power for a decay time: ln(10^6)/T. */
export const rateOf = (decay_time_s: number) => Math.log(1e6) / decay_time_s;
