import { BandFilter, fitsRate } from '../signal/band-filter.ts';
import { OCTAVES } from '../signal/bands.ts';
import {
  type IntelligibilityRating,
  intelligibilityRating,
  modulationOfResponse,
  SPEECH_OCTAVES_HZ,
  speechTransmissionIndex,
} from './intelligibility.ts';
import type { ResponseReading } from './reading.ts';

/** The reversed filter's ringing before time zero that belongs to the direct sound, in units of 1/bandwidth. */
const LEAD = 2.5;
/** An octave's decay must stand so far over the noise, as clarity asks too (by the margin of 10 dB of ISO 3382-1). */
const RANGE_NEEDED_DB = 20;
/** The tail of a recording serves to learn the noise where it is at least this long. */
const NOISE_LEAST_S = 0.05;

export interface Intelligibility {
  /** null where it cannot be given. An estimate without noise, masking and threshold: what the room alone does to speech. */
  sti: number | null;
  rating: IntelligibilityRating | null;
  /** Why there is none. */
  refusal: string | null;
}

/**
 * Speech transmission index of a response by the indirect method (IEC 60268-16:2011, A.2 and Schroeder 1981), from its octaves
 * 125 Hz to 8 kHz up to where each meets the noise. Refused, with the reason, where an octave does not fit the rate or its decay stands
 * less than 20 dB over the noise: then a clap with little bass has no index, rather than a wrong one.
 *
 * @param reading what was read off the same response, octaves included.
 */
export function readIntelligibility(
  samples: Float64Array,
  options: { rate_hz: number; zero_sample: number; reading: Pick<ResponseReading, 'bands' | 'curves'> },
): Intelligibility {
  const { rate_hz, zero_sample, reading } = options;
  const filter = new BandFilter({ samples, rate_hz, zero: zero_sample });
  const modulations: number[][] = [];
  for (const centre_hz of SPEECH_OCTAVES_HZ) {
    const band = OCTAVES.find((octave) => octave.centre_hz === centre_hz)!;
    const isIt = (entry: { width: string; centre_hz: number }) =>
      entry.width === 'octave' && entry.centre_hz === centre_hz;
    const range_db = reading.bands.find(isIt)?.range_db ?? null;
    const curve = reading.curves.find(isIt);
    if (!fitsRate(band, rate_hz)) return refused(`the rate of the recording does not hold the ${centre_hz} Hz octave`);
    if (!curve || range_db === null || range_db < RANGE_NEEDED_DB) {
      return refused(`the ${centre_hz} Hz octave does not stand ${RANGE_NEEDED_DB} dB over the noise`);
    }
    const lead_s = LEAD / band.bandwidth_hz;
    const signal = filter.filter(band, lead_s);
    const stop = Math.min(signal.samples.length, signal.zero + Math.round(curve.truncation_s * signal.rate_hz));
    const settled = signal.samples.length - Math.ceil(lead_s * signal.rate_hz);
    const tail = signal.samples.subarray(stop, Math.max(stop, settled));
    const noise = tail.length >= NOISE_LEAST_S * signal.rate_hz ? meanSquare(tail) : 0;
    modulations.push(modulationOfResponse(signal.samples.subarray(0, stop), signal.rate_hz, noise));
  }
  const sti = speechTransmissionIndex(modulations);
  return { sti, rating: intelligibilityRating(sti), refusal: null };
}

function refused(refusal: string): Intelligibility {
  return { sti: null, rating: null, refusal };
}

function meanSquare(samples: Float64Array): number {
  let sum = 0;
  for (const value of samples) sum += value * value;
  return sum / samples.length;
}
