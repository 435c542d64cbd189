import type { Band } from './bands.ts';
import { butterworthBandpass, cascadePower, type Section } from './butterworth.ts';
import { energyReversedInto, filterReversedInto } from './filter-reversed.ts';
import { doubleRate, halfBandGain, halveRate, type Sampled } from './halve-rate.ts';
import { type Room, Workspace } from './workspace.ts';

/**
 * Each band is filtered at a rate of 4 to 8 times its upper edge: above a quarter of the rate the bilinear transform squeezes
 * the lower skirt below the class 1 limit, and far below it rounding grows and time is wasted. Low bands hold so few cycles of a
 * decay that the shape of each counts: under 300 Hz they would differ by some per cent from the same filter on the full rate,
 * at 12 to 24 times their upper edge they do by 0.4 % at most.
 */
const SHARE_LEAST = (band: Band) => (band.centre_hz < 300 ? 1 / 24 : band.centre_hz < 1900 ? 1 / 12 : 1 / 8);
const SHARE_MOST = 1 / 4;
/** Every band at a halved rate lies under a quarter of it. */
const HALVING = 'gentle';

/** A band is refused when its upper edge lies above this share of the rate. */
export const UPPER_EDGE_LIMIT = 0.45;

/** Whether a recording at `rate_hz` can hold the band. */
export function fitsRate(band: Band, rate_hz: number): boolean {
  return band.upper_hz <= UPPER_EDGE_LIMIT * rate_hz;
}

/** How often the rate is halved before the band is filtered; -1: doubled once. */
export function halvingsFor(band: Band, rate_hz: number): number {
  if (band.upper_hz > SHARE_MOST * rate_hz) return -1;
  let halvings = 0;
  while (band.upper_hz < (SHARE_LEAST(band) * rate_hz) / 2 ** halvings) halvings++;
  return halvings;
}

/** A band-pass signal: the reversed filter's output on the band's own grid of time. */
export type BandSignal = Sampled & { band: Band };

/** Its energy on the same grid, as `energyReversedInto` sums it, in squared amplitude times seconds: one value more than there are samples. */
export interface BandEnergy {
  band: Band;
  rate_hz: number;
  zero: number;
  energy: Float64Array;
}

/** Where the samples at each rate lie, by the halvings. */
export type BandFilterMemory = (halvings: number) => Room;

/** Memory that one filter after the other may use. */
export function reusedMemory(): BandFilterMemory {
  const known = new Map<number, Workspace>();
  return (halvings) => {
    const workspace = known.get(halvings) ?? new Workspace();
    known.set(halvings, workspace);
    return workspace;
  };
}

/**
 * Time-reversed band filter for one response and any number of bands, within class 1 of IEC 61260-1:2014: a Butterworth
 * band-pass of 6 poles at a rate that suits the band, reached by half-band filters without shift in time. The rates are shared
 * between bands. `zero` marks time zero, which stays on every grid.
 */
export class BandFilter {
  readonly #rates = new Map<number, Sampled>();
  readonly #memory: BandFilterMemory;

  /**
   * @param options.memory holds the filter's own samples, until another filter uses it; left out, they have memory of their own.
   * @param options.halved what `halved` gave of the response, where another filter was asked before.
   */
  constructor(
    response: Sampled,
    { memory = () => new Workspace(), halved = [] }: { memory?: BandFilterMemory; halved?: readonly Sampled[] } = {},
  ) {
    for (const [halvings, sampled] of [response, ...halved].entries()) this.#rates.set(halvings, sampled);
    this.#memory = memory;
  }

  #at(halvings: number): Sampled {
    const known = this.#rates.get(halvings);
    if (known) return known;
    const made =
      halvings < 0 ? doubleRate(this.#at(0)) : halveRate(this.#at(halvings - 1), HALVING, this.#memory(halvings));
    this.#rates.set(halvings, made);
    return made;
  }

  /** The response at all the halved rates that some bands are filtered at, each half of the one before. */
  halved(bands: readonly Band[]): Sampled[] {
    const { rate_hz } = this.#at(0);
    const fitting = bands.filter((band) => fitsRate(band, rate_hz));
    const most = Math.max(0, ...fitting.map((band) => halvingsFor(band, rate_hz)));
    return Array.from({ length: most }, (_, i) => this.#at(i + 1));
  }

  /**
   * The band's signal, from `lead_s` before time zero to the end of the samples; where the response begins later, the lead is
   * the filter's own ringing alone.
   *
   * @param workspace holds the samples of the result, until it is used again; left out, they have memory of their own.
   * @throws RangeError where the band does not fit the rate.
   */
  filter(band: Band, lead_s: number, workspace = new Workspace()): BandSignal {
    const { source, sections, rate_hz, lead, length } = this.#bandpass(band, lead_s);
    const samples = filterReversedInto(workspace.take(length), source, sections);
    return { band, samples, rate_hz, zero: lead };
  }

  /** The energy of that signal, for a use that looks at sums alone: in little more than half the time. */
  energy(band: Band, lead_s: number, workspace = new Workspace()): BandEnergy {
    const { source, sections, rate_hz, lead, length } = this.#bandpass(band, lead_s);
    const energy = energyReversedInto(workspace.take(length + 1), source, { sections, step_s: 1 / rate_hz });
    return { band, energy, rate_hz, zero: lead };
  }

  /** What is filtered, with what, and how many values come out. */
  #bandpass(band: Band, lead_s: number) {
    const whole = this.#at(0);
    if (!fitsRate(band, whole.rate_hz)) throw new RangeError(`${band.centre_hz} Hz does not fit ${whole.rate_hz} Hz`);
    const { samples, rate_hz, zero } = this.#at(halvingsFor(band, whole.rate_hz));
    const sections = butterworthBandpass({ lower_hz: band.lower_hz, upper_hz: band.upper_hz, rate_hz });
    const lead = Math.ceil(lead_s * rate_hz);
    const source = samples.subarray(Math.max(0, zero - lead));
    return { source, sections, rate_hz, lead, length: source.length + Math.max(0, lead - zero) };
  }
}

/**
 * Power gain of the whole chain at a frequency in hertz for a recording at `rate_hz`, aliases included: a tone that the halving of
 * the rate folds into the band counts with what is left of it.
 */
export function bandFilterPower(band: Band, rate_hz: number): (frequency_hz: number) => number {
  const { lower_hz, upper_hz } = band;
  const halvings = halvingsFor(band, rate_hz);
  const rate = rate_hz / 2 ** halvings;
  const sections = butterworthBandpass({ lower_hz, upper_hz, rate_hz: rate });
  if (halvings >= 0) return (frequency_hz) => powerAfterHalving(sections, { halvings, rate_hz, frequency_hz });
  const through = (f: number) => halfBandGain(f / rate, 'sharp') ** 2 * cascadePower(sections, f / rate);
  return (frequency_hz) => through(frequency_hz) + through(rate_hz - frequency_hz);
}

function powerAfterHalving(
  sections: readonly Section[],
  { halvings, rate_hz, frequency_hz }: { halvings: number; rate_hz: number; frequency_hz: number },
): number {
  let frequency = frequency_hz;
  let rate = rate_hz;
  let power = 1;
  for (let i = 0; i < halvings; i++) {
    power *= halfBandGain(frequency / rate, HALVING) ** 2;
    rate /= 2;
    frequency = Math.abs(frequency - rate * Math.round(frequency / rate));
  }
  return power * cascadePower(sections, frequency / rate);
}
