import { complexSamplesOf, powerOfTwoFrom, spectrumOf } from '../signal/fft.ts';
import { halveRate, type Sampled } from '../signal/halve-rate.ts';

/** The decay of one resonance, read in a band of its own. */
export interface ModeDecay {
  frequency_hz: number;
  /** Time to fall by 60 dB, in seconds. */
  time_s: number;
  /** Level relative to the strongest resonance, in dB: 0 or less. */
  level_db: number;
  /** How much of the decay was read, in dB. */
  read_db: number;
}

/** Where single resonances are looked for; a room over 10 m long has modes below, a loudspeaker hardly. */
const FROM_HZ = 20;
const TO_HZ = 200;
/** The rate is halved while it stays above this. */
const RATE_LEAST_HZ = 1000;
/** Bins of the spectrum are finer than this, so that a peak is placed to a tenth of its width. */
const BIN_MOST_HZ = 0.2;
/** As many resonances are tried, strongest first, and none that lies deeper under the strongest. */
const MOST_TRIED = 12;
const DEEPEST_DB = -30;
/** A band may be so wide; neighbours must lie outside it, so that no two resonances beat within it. */
const WIDEST_HZ = 12;
const NARROWEST_HZ = 3;
const SHARE_OF_GAP = 0.4;
/** Peaks this far below their neighbour do not disturb it. */
const DISTURBS_DB = -20;
/** The decay is read from when the filter has settled down to so much over the noise, and over no less than this. */
const SETTLED_SIGMAS = 2.5;
const OVER_NOISE_DB = 10;
const READ_LEAST_DB = 15;
/**
 * What rings for no longer than the band itself is no resonance: a click between two. Past the settling, 2.5 sigmas, the Gaussian falls by 15 dB
 * within another 0.61, which reads as 2.45 sigmas, or 0.65 over its half-power width; more of it reads shorter (own derivation). Twice that is asked.
 */
const TIME_BY_WIDTH_LEAST = 1.3;
/** Departure from a straight line, in dB, beyond which two resonances beat. */
const RIPPLE_MOST_DB = 1;

interface Peak {
  frequency_hz: number;
  level_db: number;
}

/**
 * Decay times of the strongest resonances of a response below 200 Hz, each alone in a narrow band: level against time by least squares, in
 * a Gaussian band without shift in time, whose own ringing dies faster than any exponential and so leaves the slope of a decay as it is.
 * The band is as wide as the distance to the next resonance allows, 12 Hz at most. A resonance is left out where a neighbour lies too close,
 * where less than 15 dB of decay stand 10 dB over the noise, where it rings no longer than the band itself, or where its decay is no
 * straight line: what beats has no time.
 * Meant for sweeps and ready impulse responses; claps hold too little down there. Ascending in frequency; empty where none can be read.
 */
export function modeDecays(samples: Float64Array, options: { rate_hz: number; zero_sample: number }): ModeDecay[] {
  let signal: Sampled = { samples, rate_hz: options.rate_hz, zero: options.zero_sample };
  while (signal.rate_hz / 2 >= RATE_LEAST_HZ) signal = halveRate(signal);
  const zero = Math.max(0, Math.round(signal.zero));
  const sound = signal.samples.subarray(zero);
  if (sound.length < signal.rate_hz / 4) return [];
  const size = powerOfTwoFrom(Math.max(2 * sound.length, signal.rate_hz / BIN_MOST_HZ));
  const spectrum = spectrumOf(sound, size);
  const bin_hz = signal.rate_hz / size;
  const peaks = peaksOf(spectrum, bin_hz);
  return peaks
    .slice(0, MOST_TRIED)
    .flatMap((peak) => {
      const width_hz = widthFor(peak, peaks);
      if (width_hz === null) return [];
      const wave = narrowBand(spectrum, { bin_hz, frequency_hz: peak.frequency_hz, width_hz });
      const read = readRinging(wave.subarray(0, 2 * sound.length), { rate_hz: signal.rate_hz, width_hz });
      return read === null ? [] : [{ ...peak, ...read }];
    })
    .sort((a, b) => a.frequency_hz - b.frequency_hz);
}

/** Local maxima of the spectrum between 20 and 200 Hz, strongest first, with their level under the strongest. */
function peaksOf(spectrum: Float64Array, bin_hz: number): Peak[] {
  const power = (bin: number) => spectrum[2 * bin]! ** 2 + spectrum[2 * bin + 1]! ** 2;
  const found: { bin: number; power: number }[] = [];
  for (let bin = Math.ceil(FROM_HZ / bin_hz); bin * bin_hz <= TO_HZ; bin++) {
    const here = power(bin);
    if (here > power(bin - 1) && here >= power(bin + 1)) found.push({ bin, power: here });
  }
  found.sort((a, b) => b.power - a.power);
  const strongest = found[0]?.power ?? 0;
  return found
    .map((peak) => ({ frequency_hz: peak.bin * bin_hz, level_db: 10 * Math.log10(peak.power / strongest) }))
    .filter(({ level_db }) => level_db >= DEEPEST_DB + DISTURBS_DB);
}

/** The widest band that keeps clear of every peak strong enough to disturb; null where that is too narrow to follow a decay. */
function widthFor(peak: Peak, peaks: readonly Peak[]): number | null {
  if (peak.level_db < DEEPEST_DB) return null;
  const gaps = peaks
    .filter((other) => other !== peak && other.level_db > peak.level_db + DISTURBS_DB)
    .map((other) => Math.abs(other.frequency_hz - peak.frequency_hz));
  const width_hz = Math.min(WIDEST_HZ, SHARE_OF_GAP * Math.min(...gaps, Number.POSITIVE_INFINITY));
  return width_hz < NARROWEST_HZ ? null : width_hz;
}

/** What a Gaussian band about a frequency lets through, as complex samples; the half-power width of the band is given. */
function narrowBand(
  spectrum: Float64Array,
  band: { bin_hz: number; frequency_hz: number; width_hz: number },
): Float64Array {
  const { bin_hz, frequency_hz, width_hz } = band;
  const one = new Float64Array(spectrum.length);
  const reach = Math.ceil((3 * width_hz) / bin_hz);
  const centre = Math.round(frequency_hz / bin_hz);
  for (let bin = Math.max(1, centre - reach); bin <= centre + reach && bin < spectrum.length / 4; bin++) {
    const gain = Math.exp(-2 * Math.LN2 * ((bin * bin_hz - frequency_hz) / width_hz) ** 2);
    one[2 * bin] = gain * spectrum[2 * bin]!;
    one[2 * bin + 1] = gain * spectrum[2 * bin + 1]!;
  }
  return complexSamplesOf(one);
}

/** Standard deviation in seconds of the Gaussian's response in time, for its half-power width. */
function settling_s(width_hz: number): number {
  return Math.sqrt(2 * Math.LN2) / (Math.PI * width_hz) / Math.SQRT2;
}

/** Decay and pitch of a narrow band: the slope of its level, and the mean advance of its phase, which skirts of neighbours hardly move. */
function readRinging(
  wave: Float64Array,
  { rate_hz, width_hz }: { rate_hz: number; width_hz: number },
): Pick<ModeDecay, 'frequency_hz' | 'time_s' | 'read_db'> | null {
  const level_db = Float64Array.from(
    { length: wave.length / 2 },
    (_, index) => 10 * Math.log10(wave[2 * index]! ** 2 + wave[2 * index + 1]! ** 2 + 1e-300),
  );
  const start = Math.round(SETTLED_SIGMAS * settling_s(width_hz) * rate_hz);
  const tail = level_db.subarray(Math.floor(0.8 * level_db.length), Math.floor(0.95 * level_db.length));
  const noise_db = 10 * Math.log10(tail.reduce((sum, level) => sum + 10 ** (level / 10), 0) / tail.length);
  let end = start;
  while (end < level_db.length && level_db[end]! > noise_db + OVER_NOISE_DB) end++;
  const read_db = (level_db[start] ?? 0) - (level_db[end - 1] ?? 0);
  if (end - start < 8 || read_db < READ_LEAST_DB) return null;
  const middle = (start + end - 1) / 2;
  let products = 0;
  let squares = 0;
  let sum = 0;
  for (let i = start; i < end; i++) {
    products += (i - middle) * level_db[i]!;
    squares += (i - middle) ** 2;
    sum += level_db[i]!;
  }
  const slope = products / squares;
  const mean = sum / (end - start);
  let ripple = 0;
  for (let i = start; i < end; i++) ripple += (level_db[i]! - mean - slope * (i - middle)) ** 2;
  if (slope >= 0 || Math.sqrt(ripple / (end - start)) > RIPPLE_MOST_DB) return null;
  const time_s = -60 / (slope * rate_hz);
  if (time_s * width_hz < TIME_BY_WIDTH_LEAST) return null;
  return { frequency_hz: pitch_hz(wave.subarray(2 * start, 2 * end), rate_hz), time_s, read_db };
}

function pitch_hz(wave: Float64Array, rate_hz: number): number {
  let re = 0;
  let im = 0;
  for (let i = 2; i < wave.length; i += 2) {
    re += wave[i]! * wave[i - 2]! + wave[i + 1]! * wave[i - 1]!;
    im += wave[i + 1]! * wave[i - 2]! - wave[i]! * wave[i - 1]!;
  }
  return (Math.atan2(im, re) * rate_hz) / (2 * Math.PI);
}
