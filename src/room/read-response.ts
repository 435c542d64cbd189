import { BandFilter, fitsRate, reusedMemory } from '../signal/band-filter.ts';
import { type Band, bandsOf } from '../signal/bands.ts';
import { statisticalBandwidth_hz } from '../signal/statistical-bandwidth.ts';
import { Workspace } from '../signal/workspace.ts';
import { decayOfEnergy } from './band-decay.ts';
import { type Beforehand, soundOf } from './beforehand.ts';
import { type DecayLevels, decayLevels } from './decay-levels.ts';
import { directEnergy } from './late-level.ts';
import { readBand, refusedBand } from './read-band.ts';
import { BAND_WIDTHS, type BandReading, type BandWidth, type DecayCurve, type ResponseReading } from './reading.ts';
import { readEarly } from './reflections.ts';
import { refusal } from './refusal.ts';

/** The reversed filter's ringing before time zero that counts as early energy, in units of 1/bandwidth. */
const LEAD = 2.5;
/** In octaves from here up the levels of the decay are told cell by cell. */
const LEVELS_FROM_HZ = 125;

/**
 * One band after the other, of one response after the other, is filtered, summed and read: nothing of it is kept but the readings,
 * and getting memory anew for each was seen to cost a tenth of the time.
 */
const memory = { rates: reusedMemory(), energy: new Workspace() };

export interface ResponseOptions {
  rate_hz: number;
  /** Index of time zero (ISO 3382-1: first sample at or above 20 dB below the direct sound's maximum). */
  zero_sample: number;
  widths: readonly BandWidth[];
  /** What `workBeforehand` gave for these bands, where it was asked. */
  beforehand?: Beforehand | null | undefined;
}

/**
 * Everything that is read off one response, band by band and as a whole.
 *
 * @param samples the response, some lead before time zero and the decay into the noise, full scale 1.
 */
export function readResponse(samples: Float64Array, options: ResponseOptions): ResponseReading {
  const early = options.beforehand?.early ?? readEarly(samples, options.rate_hz, options.zero_sample);
  return { ...readBands(samples, options), ...early };
}

/** What is read band by band alone: decay times, clarity, levels, each given only where the rules allow it, else null with the reason. */
export function readBands(
  samples: Float64Array,
  options: ResponseOptions,
): Pick<ResponseReading, 'bands' | 'curves' | 'levels'> {
  const { rate_hz, zero_sample, widths, beforehand } = options;
  const sound = soundOf(samples, options);
  const end = sound.samples.length;
  const filter = new BandFilter(sound, { memory: memory.rates, halved: beforehand?.halved ?? [] });
  const direct = directEnergy(samples, rate_hz, zero_sample);
  const bands: BandReading[] = [];
  const curves: DecayCurve[] = [];
  const levels: DecayLevels[] = [];
  for (const band of widths.flatMap((width) => bandsOf(width))) {
    const { reading, curve } = readOne(band);
    bands.push(reading);
    if (curve) curves.push(curve);
  }
  return { bands, curves, levels };

  function readOne(band: Band): { reading: BandReading; curve: DecayCurve | null } {
    if (!fitsRate(band, rate_hz)) return { reading: refusedBand(band, refusal.overRate(rate_hz)), curve: null };
    if (end <= zero_sample) return { reading: refusedBand(band, refusal.silent()), curve: null };
    const energy = filter.energy(band, LEAD / band.bandwidth_hz, memory.energy);
    const decay = decayOfEnergy(energy, (end - zero_sample) / rate_hz);
    if (band.width === 'octave' && band.centre_hz >= LEVELS_FROM_HZ) levels.push(decayLevels(decay, band));
    return readBand({ band, decay, direct, statistical_hz: statisticalBandwidth_hz(band, rate_hz) });
  }
}

/** Reckons what every response at a rate needs to know of its bands, before there is one. */
export function prepareBands(rate_hz: number): void {
  for (const band of BAND_WIDTHS.flatMap((width) => bandsOf(width))) {
    if (fitsRate(band, rate_hz)) statisticalBandwidth_hz(band, rate_hz);
  }
}
