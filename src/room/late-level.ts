import { butterworthHighpass } from '../signal/butterworth.ts';
import { powerToDb } from '../signal/decibels.ts';
import { filterReversed } from '../signal/filter-reversed.ts';
import type { BandDecay } from './band-decay.ts';
import { energyFrom, type Tail } from './schroeder.ts';

const CORNER_HZ = 500;
const DIRECT_S = 0.005;
const LATE_FROM_S = 0.02;
/** The filter rings and settles within this time. */
const MARGIN_S = 0.01;

/**
 * Energy of a response's own direct sound: the first 5 ms, 500 Hz and up, in squared amplitude times seconds. The few
 * milliseconds that reversed filtering puts before time zero are included. 0 for silence.
 */
export function directEnergy(samples: Float64Array, rate_hz: number, zero_sample: number): number {
  const margin = Math.round(MARGIN_S * rate_hz);
  const stop = zero_sample + Math.round(DIRECT_S * rate_hz);
  const from = Math.max(0, zero_sample - margin);
  const window = samples.subarray(from, Math.min(samples.length, stop + margin));
  const sections = butterworthHighpass({ corner_hz: CORNER_HZ, rate_hz });
  const lead = Math.max(0, margin - zero_sample);
  const filtered = filterReversed(window, sections, lead);
  let sum = 0;
  for (let i = 0; i < stop - from + lead; i++) sum += (filtered[i] ?? 0) ** 2;
  return sum / rate_hz;
}

/**
 * Level of a band's late sound, from 20 ms on, relative to the response's own direct sound, in dB: its change between stages
 * is what a listener hears as "less room", whatever the strength of the clap.
 *
 * Returns null where nothing is left after the noise is taken off, or there is no direct sound.
 */
export function lateLevel_db(decay: BandDecay, tail: Tail, direct: number): number | null {
  if (tail.stop_s <= LATE_FROM_S) return null;
  const late = energyFrom(decay, tail, LATE_FROM_S);
  return late > 0 && direct > 0 ? powerToDb(late / direct) : null;
}
