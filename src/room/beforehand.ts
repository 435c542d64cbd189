import { BandFilter } from '../signal/band-filter.ts';
import { bandsOf } from '../signal/bands.ts';
import type { Sampled } from '../signal/halve-rate.ts';
import type { Room } from '../signal/workspace.ts';
import type { BandWidth } from './reading.ts';
import { type EarlyReading, readEarly } from './reflections.ts';

/** What can be worked out of a response before its bands are read, by whoever has time. */
export interface Beforehand {
  early: EarlyReading;
  /** The sound at the halved rates that its bands are filtered at. */
  halved: Sampled[];
}

/** Room that `workBeforehand` needs for a response of so many samples: each half as long as the one before, rounded up. */
export function beforehandRoom(samples: number): number {
  return samples + ROUNDED_UP;
}

/** More halvings than any rate has bands for. */
const ROUNDED_UP = 32;

/**
 * Works out what `readResponse` would begin with.
 *
 * @param options.widths the bands that will be read
 * @param options.room holds the samples at the halved rates
 */
export function workBeforehand(
  samples: Float64Array,
  {
    rate_hz,
    zero_sample,
    widths,
    room,
  }: { rate_hz: number; zero_sample: number; widths: readonly BandWidth[]; room: Room },
): Beforehand {
  const filter = new BandFilter(soundOf(samples, { rate_hz, zero_sample }), { memory: () => room });
  return {
    early: readEarly(samples, rate_hz, zero_sample),
    halved: filter.halved(widths.flatMap((width) => bandsOf(width))),
  };
}

/** A response up to the last sample that is not zero: ready responses are often padded with digital silence. */
export function soundOf(
  samples: Float64Array,
  { rate_hz, zero_sample }: { rate_hz: number; zero_sample: number },
): Sampled {
  let end = samples.length;
  while (end > 0 && samples[end - 1] === 0) end--;
  return { samples: samples.subarray(0, end), rate_hz, zero: zero_sample };
}
