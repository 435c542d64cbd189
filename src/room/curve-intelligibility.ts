import {
  type IntelligibilityRating,
  intelligibilityRating,
  MODULATION_HZ,
  SPEECH_OCTAVES_HZ,
  speechTransmissionIndex,
} from './intelligibility.ts';
import type { BandReading, DecayCurve } from './reading.ts';

/** An octave's decay must stand so far over the noise, as clarity asks too (by the margin of 10 dB of ISO 3382-1). */
const RANGE_NEEDED_DB = 20;
const NEPER_IN_DB = Math.LN10 / 10;

export interface CurveIntelligibility {
  /** null where it cannot be given. An estimate without noise, masking and threshold: what the room alone does to speech. */
  sti: number | null;
  rating: IntelligibilityRating | null;
  /** Why there is none. */
  refusal: string | null;
}

/**
 * Speech transmission index, 0 to 1, by the indirect method (IEC 60268-16:2011, A.2; Schroeder, Acustica 49, 1981, 179) from the
 * backward-integrated curves of a response: the energy of each step is what the curve loses over it, so nothing is filtered again. On drawn
 * decays of 0.15 to 1.5 s it keeps within 0.005 of the index of the response itself. Refused, with the reason, where an octave of 125 Hz to
 * 8 kHz has no curve or stands less than 20 dB over the noise: a clap with little bass has no index, rather than a wrong one.
 */
export function curveIntelligibility(
  bands: readonly BandReading[],
  curves: readonly DecayCurve[],
): CurveIntelligibility {
  const modulations: number[][] = [];
  for (const centre_hz of SPEECH_OCTAVES_HZ) {
    const isIt = (entry: { width: string; centre_hz: number }) =>
      entry.width === 'octave' && entry.centre_hz === centre_hz;
    const range_db = bands.find(isIt)?.range_db ?? null;
    const curve = curves.find(isIt);
    if (!curve || range_db === null || range_db < RANGE_NEEDED_DB) {
      const refusal = `the ${centre_hz} Hz octave does not stand ${RANGE_NEEDED_DB} dB over the noise`;
      return { sti: null, rating: null, refusal };
    }
    modulations.push(curveModulation(curve));
  }
  const sti = speechTransmissionIndex(modulations);
  return { sti, rating: intelligibilityRating(sti), refusal: null };
}

/** How much of each modulation frequency a decay leaves, in the order of MODULATION_HZ, from its backward-integrated curve. */
function curveModulation({ level_db, step_s }: DecayCurve): number[] {
  // What is left at each step, then what is lost over it.
  const lost = new Float64Array(level_db.length);
  for (let index = 0; index < lost.length; index++) lost[index] = Math.exp(NEPER_IN_DB * level_db[index]!);
  const whole = lost[0]!;
  for (let index = 1; index < lost.length; index++) lost[index - 1] = lost[index - 1]! - lost[index]!;
  return MODULATION_HZ.map((modulation_hz) => {
    // The phasor of each step is that of the one before, turned on: a sine and cosine for each would take most of the time.
    const turn = 2 * Math.PI * modulation_hz * step_s;
    const [turnRe, turnIm] = [Math.cos(turn), Math.sin(turn)];
    let phasorRe = Math.cos(turn / 2);
    let phasorIm = Math.sin(turn / 2);
    let re = 0;
    let im = 0;
    for (let index = 0; index < lost.length; index++) {
      re += lost[index]! * phasorRe;
      im -= lost[index]! * phasorIm;
      const next = phasorRe * turnRe - phasorIm * turnIm;
      phasorIm = phasorRe * turnIm + phasorIm * turnRe;
      phasorRe = next;
    }
    return Math.hypot(re, im) / whole;
  });
}
