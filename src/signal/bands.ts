/** Frequency bands with exact base-ten midbands (IEC 61260-1:2014, 5.2 to 5.5). */

/** The octave ratio G of the base-ten system: 10^(3/10), IEC 61260-1:2014, 5.2. */
export const OCTAVE_RATIO = 10 ** 0.3;

export interface Band {
  width: 'octave' | 'third-octave';
  /** Nominal midband, as printed. */
  centre_hz: number;
  /** Exact midband: 1000 G^(x/b). */
  exact_hz: number;
  /** Band edges: exact midband times G^(-1/(2b)) and G^(1/(2b)). */
  lower_hz: number;
  upper_hz: number;
  bandwidth_hz: number;
}

const OCTAVE_NOMINALS = [63, 125, 250, 500, 1000, 2000, 4000, 8000];
const THIRD_NOMINALS = [
  50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300,
  8000, 10000,
];

function makeBand(width: Band['width'], centre_hz: number): Band {
  const perOctave = width === 'octave' ? 1 : 3;
  const index = Math.round((perOctave * Math.log(centre_hz / 1000)) / Math.log(OCTAVE_RATIO));
  const exact_hz = 1000 * OCTAVE_RATIO ** (index / perOctave);
  const halfBand = OCTAVE_RATIO ** (1 / (2 * perOctave));
  const lower_hz = exact_hz / halfBand;
  const upper_hz = exact_hz * halfBand;
  return { width, centre_hz, exact_hz, lower_hz, upper_hz, bandwidth_hz: upper_hz - lower_hz };
}

/** The octaves from 63 Hz to 8 kHz, in rising order. Source: IEC 61260-1:2014, 5.2 to 5.5. */
export const OCTAVES: readonly Band[] = OCTAVE_NOMINALS.map((nominal) => makeBand('octave', nominal));

/** The one-third octaves from 50 Hz to 10 kHz, in rising order. Source: IEC 61260-1:2014, 5.2 to 5.5. */
export const THIRD_OCTAVES: readonly Band[] = THIRD_NOMINALS.map((nominal) => makeBand('third-octave', nominal));

/** All bands of one width, in rising order. */
export function bandsOf(width: Band['width']): readonly Band[] {
  return width === 'octave' ? OCTAVES : THIRD_OCTAVES;
}
