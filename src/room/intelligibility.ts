/** Octaves of the speech transmission index, in Hz. */
export const SPEECH_OCTAVES_HZ = [125, 250, 500, 1000, 2000, 4000, 8000] as const;

/** The fourteen modulation frequencies in Hz (IEC 60268-16:2011, A.2). */
export const MODULATION_HZ = [0.63, 0.8, 1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8, 10, 12.5] as const;

/** Weights of the octaves and of what neighbours share, male speech (IEC 60268-16:2011, table A.3; 2020, table A.1). */
const ALPHA = [0.085, 0.127, 0.23, 0.233, 0.309, 0.224, 0.173] as const;
const BETA = [0.085, 0.078, 0.065, 0.011, 0.047, 0.095] as const;

export type IntelligibilityRating = 'bad' | 'poor' | 'fair' | 'good' | 'excellent';

/**
 * How much of the modulation at `modulation_hz` an exponential decay of `time_s` leaves: 1 / sqrt(1 + (2 pi F T / 13.8155)^2)
 * (Houtgast, Steeneken and Plomp, Acustica 46, 1980, 60).
 */
export function modulationOfDecay(time_s: number, modulation_hz: number): number {
  return 1 / Math.hypot(1, (2 * Math.PI * modulation_hz * time_s) / Math.log(1e6));
}

/**
 * How much of each modulation frequency a band's impulse response leaves, in the order of MODULATION_HZ: the Fourier transform of the
 * squared response over its energy (Schroeder, Acustica 49, 1981, 179). `samples` start at the direct sound and end before the noise;
 * `noise_power`, the mean square of the noise in them, is taken off. Throws where no energy is left.
 */
export function modulationOfResponse(samples: Float64Array, rate_hz: number, noise_power = 0): number[] {
  let energy = 0;
  for (const value of samples) energy += value * value - noise_power;
  if (!(energy > 0)) throw new RangeError('a response without energy has no modulation');
  return MODULATION_HZ.map((modulation_hz) => {
    const step = (2 * Math.PI * modulation_hz) / rate_hz;
    const [turnRe, turnIm] = [Math.cos(step), -Math.sin(step)];
    let [re, im, sumRe, sumIm] = [1, 0, 0, 0];
    for (const value of samples) {
      const power = value * value - noise_power;
      sumRe += power * re;
      sumIm += power * im;
      [re, im] = [re * turnRe - im * turnIm, re * turnIm + im * turnRe];
    }
    return Math.hypot(sumRe, sumIm) / energy;
  });
}

/** What steady noise leaves of a modulation: m / (1 + 10^(-SNR/10)), the signal-to-noise ratio in dB (IEC 60268-16, A.2). */
export function modulationInNoise(modulation: number, snr_db: number): number {
  return modulation / (1 + 10 ** (-snr_db / 10));
}

/** Index of one modulation value: its apparent signal-to-noise ratio, held to -15 to 15 dB, on a scale from 0 to 1 (IEC 60268-16, A.2). */
function transmissionIndex(modulation: number): number {
  const snr_db = 10 * Math.log10(modulation / (1 - modulation));
  return (Math.min(15, Math.max(-15, snr_db)) + 15) / 30;
}

/**
 * Speech transmission index, 0 to 1, from seven octaves (125 Hz to 8 kHz) of fourteen modulation values each (IEC 60268-16:2011, A.2).
 * Auditory masking and the threshold of hearing are left out, since a recording at no known level cannot tell them:
 * what comes out is an estimate for speech at a comfortable level. Throws unless there are seven octaves.
 */
export function speechTransmissionIndex(modulations: readonly (readonly number[])[]): number {
  if (modulations.length !== SPEECH_OCTAVES_HZ.length) throw new RangeError('seven octaves, 125 Hz to 8 kHz');
  const indices = modulations.map(
    (values) => values.reduce((sum, value) => sum + transmissionIndex(value), 0) / values.length,
  );
  let sti = 0;
  indices.forEach((index, band) => {
    sti += ALPHA[band]! * index;
    if (band > 0) sti -= BETA[band - 1]! * Math.sqrt(index * indices[band - 1]!);
  });
  return Math.min(1, sti);
}

/** Speech transmission index of exponential decays, one time a band from 125 Hz to 8 kHz in seconds; noise where `snr_db` is given. */
export function indexOfDecays(times_s: readonly number[], snr_db: number | null = null): number {
  return speechTransmissionIndex(
    times_s.map((time_s) =>
      MODULATION_HZ.map((modulation_hz) => {
        const modulation = modulationOfDecay(time_s, modulation_hz);
        return snr_db === null ? modulation : modulationInNoise(modulation, snr_db);
      }),
    ),
  );
}

/** The word IEC 60268-16 gives an index: bad to 0.30, poor to 0.45, fair to 0.60, good to 0.75, then excellent. */
export function intelligibilityRating(sti: number): IntelligibilityRating {
  if (sti <= 0.3) return 'bad';
  if (sti <= 0.45) return 'poor';
  if (sti <= 0.6) return 'fair';
  return sti <= 0.75 ? 'good' : 'excellent';
}
