import { halveRate, type Sampled } from '../signal/halve-rate.ts';
import { Workspace } from '../signal/workspace.ts';
import { meanPower_db, type PowerSpectrum, powerSpectrum } from './power-spectrum.ts';

export interface MainsHum {
  mains_hz: 50 | 60;
  /** By how much the hum lifts the noise of the octave it spoils most, 63 to 250 Hz. */
  lift_db: number;
}

const HARMONICS = 10;
/** A harmonic stands out when it is so far above what lies beside it. */
const LINE_DB = 14;
const LEAST_LINES = 3;
/** Hum that lifts the bass by less harms nothing. */
const LEAST_LIFT_DB = 3;
const BASS_OCTAVES_HZ = [63, 125, 250];

/**
 * Mains hum in the quiet parts of a recording: at least three of the first ten harmonics of 50 or 60 Hz standing clear of
 * the noise beside them, and lifting one of the low octaves by 3 dB or more. Common practice, no source.
 *
 * @param quiet stretches in which nothing but noise is heard
 * @returns null where there is none, or where no stretch is long enough (0.7 s or so) to tell
 */
export function mainsHum(quiet: Float64Array[], rate_hz: number): MainsHum | null {
  const low = longestOf(quiet, MOST_HEARD_S * rate_hz).map((samples) => lowRate(samples, rate_hz));
  const lowRate_hz = low[0]?.rate_hz ?? rate_hz;
  const size = 2 ** Math.floor(Math.log2(0.75 * lowRate_hz));
  const spectrum = powerSpectrum(
    low.map(({ samples }) => samples),
    { rate_hz: lowRate_hz, size },
  );
  if (spectrum === null) return null;
  let strongest: MainsHum | null = null;
  for (const mains_hz of [50, 60] as const) {
    const lines = Array.from({ length: HARMONICS }, (_, i) => (i + 1) * mains_hz).filter(
      (line_hz) => lineOverNoise_db(spectrum, line_hz) >= LINE_DB,
    );
    if (lines.length < LEAST_LINES) continue;
    const lift_db = Math.max(...BASS_OCTAVES_HZ.map((centre_hz) => octaveLift_db(spectrum, centre_hz, lines)));
    if (lift_db >= LEAST_LIFT_DB && lift_db > (strongest?.lift_db ?? 0)) strongest = { mains_hz, lift_db };
  }
  return strongest;
}

/** Hum is steady: so much of the quiet tells. */
const MOST_HEARD_S = 5;

/** The longest stretches, as many as hold `most` samples, the last cut short. */
function longestOf(stretches: Float64Array[], most: number): Float64Array[] {
  let left = most;
  return [...stretches]
    .sort((a, b) => b.length - a.length)
    .map((samples) => {
      const heard = samples.subarray(0, Math.max(0, left));
      left -= heard.length;
      return heard;
    })
    .filter((samples) => samples.length > 0);
}

/** The last harmonic is read at 600 Hz; at rates above this the transforms would only take longer. */
const RATE_LEAST_HZ = 2400;

/** Nothing but the last harmonic and what lies beside it is read, so as long as that is a fortieth of the rate a slight filter will do. */
const SLIGHT_FROM_HZ = 24_600;

/** What is halved in turn lies in the one and in the other; only the last has memory of its own. */
const between = [new Workspace(), new Workspace()] as const;

function lowRate(samples: Float64Array, rate_hz: number): Sampled {
  let now: Sampled = { samples, rate_hz, zero: 0 };
  for (let turn = 0; now.rate_hz / 2 >= RATE_LEAST_HZ; turn++) {
    const last = now.rate_hz / 4 < RATE_LEAST_HZ;
    now = halveRate(
      now,
      now.rate_hz >= SLIGHT_FROM_HZ ? 'slight' : 'gentle',
      last ? new Workspace() : between[turn % 2],
    );
  }
  return now;
}

/** Mains wander by some tenths of a hertz, and the window spreads a line over three bins. */
const HALF_LINE_HZ = 3.2;
const BESIDE_HZ = 14;

function lineOverNoise_db(spectrum: PowerSpectrum, line_hz: number): number {
  return meanPower_db(spectrum, line_hz - HALF_LINE_HZ, line_hz + HALF_LINE_HZ) - beside_db(spectrum, line_hz);
}

/** Level of the noise to both sides of a line. */
function beside_db(spectrum: PowerSpectrum, line_hz: number): number {
  const below = meanPower_db(spectrum, line_hz - BESIDE_HZ, line_hz - HALF_LINE_HZ - spectrum.step_hz);
  const above = meanPower_db(spectrum, line_hz + HALF_LINE_HZ + spectrum.step_hz, line_hz + BESIDE_HZ);
  return 10 * Math.log10((10 ** (below / 10) + 10 ** (above / 10)) / 2);
}

function octaveLift_db(spectrum: PowerSpectrum, centre_hz: number, lines: number[]): number {
  const from_hz = centre_hz / Math.SQRT2;
  const to_hz = centre_hz * Math.SQRT2;
  const bins = (to_hz - from_hz) / spectrum.step_hz;
  const whole = bins * 10 ** (meanPower_db(spectrum, from_hz, to_hz) / 10);
  const hum = lines
    .filter((line_hz) => line_hz > from_hz && line_hz < to_hz)
    .reduce((sum, line_hz) => {
      const line = 10 ** (meanPower_db(spectrum, line_hz - HALF_LINE_HZ, line_hz + HALF_LINE_HZ) / 10);
      return sum + ((line - 10 ** (beside_db(spectrum, line_hz) / 10)) * 2 * HALF_LINE_HZ) / spectrum.step_hz;
    }, 0);
  return 10 * Math.log10(whole / Math.max(whole - hum, whole * 1e-6));
}
