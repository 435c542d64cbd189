import type { Purpose } from '../project/project.ts';

/** The most noise that a document allows in a room for a purpose. */
export interface NoiseTarget {
  /** NR: an octave curve. dBA: a level weighted A. */
  unit: 'NR' | 'dBA';
  most: number;
  /** What it recommends where that is less than it allows. */
  preferred: number | null;
  source: string;
  /** What the reader must know to hold a recording against it. */
  note: string;
}

const TARGETS: Partial<Record<Purpose, NoiseTarget>> = {
  // From memory, sure.
  mixing: {
    unit: 'NR',
    most: 15,
    preferred: 10,
    source: 'ITU-R BS.1116-3; EBU Tech 3276, 2nd edition (1998)',
    note: 'for listening rooms in which sound is judged',
  },
  classroom: {
    unit: 'dBA',
    most: 35,
    preferred: null,
    source: 'ANSI/ASA S12.60-2010, part 1',
    note: 'for the loudest hour, from outside and from equipment, in the furnished room without people; a short recording is a sample of it',
  },
};

/** The noise a room for `purpose` may have; null where no document is known here that says so. */
export function noiseTarget(purpose: Purpose): NoiseTarget | null {
  return TARGETS[purpose] ?? null;
}

/** L = a + b NR by octave: ISO/R 1996:1971 (withdrawn; the curves live on in room standards). From memory, with a public copy beside it. */
const NR_CURVE: readonly [centre_hz: number, a_db: number, b: number][] = [
  [63, 35.5, 0.79],
  [125, 22, 0.87],
  [250, 12, 0.93],
  [500, 4.8, 0.974],
  [1000, 0, 1],
  [2000, -3.5, 1.015],
  [4000, -6.1, 1.025],
  [8000, -8, 1.03],
];

/** Sound pressure level in dB that the curve of noise rating `rating` allows in the octave; null for an octave it does not have. */
export function noiseRatingCurve_db(rating: number, centre_hz: number): number | null {
  const row = NR_CURVE.find(([hz]) => hz === centre_hz);
  return row ? row[1] + row[2] * rating : null;
}

/**
 * Noise rating of a spectrum: the lowest whole curve that no octave lies above, and the octave that decides (ISO/R 1996:1971). Octaves that are null are
 * left out; null where the four from 250 Hz to 2 kHz are not all there.
 *
 * @param levels octave levels, dB relative to 20 uPa.
 */
export function noiseRating(levels: readonly { centre_hz: number; level_db: number | null }[]): {
  rating: number;
  decided_by_hz: number;
} | null {
  const known = new Map(
    levels.flatMap(({ centre_hz, level_db }) => (level_db === null ? [] : [[centre_hz, level_db]])),
  );
  if (![250, 500, 1000, 2000].every((hz) => known.has(hz))) return null;
  let [highest, decided_by_hz] = [Number.NEGATIVE_INFINITY, 0];
  for (const [hz, a_db, b] of NR_CURVE) {
    const rating = known.has(hz) ? (known.get(hz)! - a_db) / b : Number.NEGATIVE_INFINITY;
    if (rating > highest) [highest, decided_by_hz] = [rating, hz];
  }
  return { rating: Math.ceil(highest - 1e-9), decided_by_hz };
}

/** A weighting at the octave midbands, dB: IEC 61672-1:2013, Table 3 (from memory, sure). */
const A_WEIGHTING_DB = new Map([
  [63, -26.2],
  [125, -16.1],
  [250, -8.6],
  [500, -3.2],
  [1000, 0],
  [2000, 1.2],
  [4000, 1],
  [8000, -1.1],
]);

/**
 * A-weighted level of an octave spectrum, in the unit of its levels: the weight of each midband stands for its octave, so a spectrum that
 * falls steeply within an octave is out by a decibel or two. null where the four octaves from 250 Hz to 2 kHz are not all there.
 */
export function aWeighted_db(levels: readonly { centre_hz: number; level_db: number | null }[]): number | null {
  const known = new Map(
    levels.flatMap(({ centre_hz, level_db }) => (level_db === null ? [] : [[centre_hz, level_db]])),
  );
  if (![250, 500, 1000, 2000].every((hz) => known.has(hz))) return null;
  let power = 0;
  for (const [hz, level_db] of known)
    power += 10 ** ((level_db! + (A_WEIGHTING_DB.get(hz!) ?? Number.NEGATIVE_INFINITY)) / 10);
  return 10 * Math.log10(power);
}
