import { DECAY_CONSTANT, eyringArea_m2 } from './absorption.ts';

/**
 * How far a room falls from its prediction, as shares of the absorption predicted to be gained, at about 95 %.
 *
 * The published case this rests on is a classroom of 9.25 x 7.65 x 3.15 m in painted block and concrete, then carpeted: at 1 kHz
 * Sabine's formula gave 2.6 and 0.93 s, measured were 3.3 and 1.6 s (D. Russell, Pennsylvania State University). The carpet thus
 * brought 0.47 of the absorption its table promised. The lower end lies just outside that case. The upper end leaves room
 * for edges and for a bare surface that took in less than thought; it is a judgement without a source.
 */
export const GAIN_SHARE = { low: 0.45, high: 1.2 } as const;

/** Where coefficients come from. Tables of one material differ by 0.1 and more, at 125 Hz by 0.2 (gypsum board: 0.10 to 0.30). */
export type CoefficientBasis = 'product' | 'table';

/** Half-width of about 95 % in a coefficient: two readings of one product part by some 0.1 (our judgement), tables as above. */
export function coefficientSpread(basis: CoefficientBasis, centre_hz: number): number {
  if (basis === 'product') return centre_hz <= 125 ? 0.1 : 0.07;
  return centre_hz <= 125 ? 0.2 : 0.1;
}

/** Something added: its area and its coefficient in one octave. */
export interface Addition {
  area_m2: number;
  alpha: number;
  basis: CoefficientBasis;
}

/** Absorption area promised by data, in square metres, with the interval of about 95 % that real rooms and differing tables ask for. */
export interface PredictedGain {
  gain_m2: number;
  low_m2: number;
  high_m2: number;
}

/**
 * Absorption area that additions should bring in one octave: sum of area times coefficient, with an interval that covers the usual gap
 * between prediction and room (GAIN_SHARE) and between one table and the next. The gap is shared by all of them, so it adds up;
 * errors of coefficients are independent and add as squares. Never below zero.
 */
export function predictedGain(additions: readonly Addition[], centre_hz: number): PredictedGain {
  const gain_m2 = additions.reduce((sum, { area_m2, alpha }) => sum + area_m2 * alpha, 0);
  const data_m2 = Math.hypot(
    ...additions.map(({ area_m2, basis }) => area_m2 * coefficientSpread(basis, centre_hz)),
    0,
  );
  const low_m2 = Math.max(0, gain_m2 - Math.hypot((1 - GAIN_SHARE.low) * gain_m2, data_m2));
  const high_m2 = gain_m2 + Math.hypot((GAIN_SHARE.high - 1) * gain_m2, data_m2);
  return { gain_m2, low_m2, high_m2 };
}

export interface PredictionInput {
  volume_m3: number;
  /** All surfaces of the room; null: unknown, and Sabine's formula is used throughout. */
  surface_m2: number | null;
  speed_m_s: number;
  /** Power coefficient of the air per metre; 0 leaves it out. */
  air_per_m: number;
  now_s: number;
  /** Half-width of the 95 % interval of now_s. */
  now_expanded_s: number;
  gain: PredictedGain;
}

export interface PredictedDecay {
  time_s: number;
  /** About 95 %. */
  low_s: number;
  high_s: number;
  formula: 'sabine' | 'eyring';
  sabine_s: number;
  /** null where the surface is unknown, or more would be absorbed than there is surface. */
  eyring_s: number | null;
}

/** Mean coefficient above which Sabine's formula gives way to Eyring's: it then reads noticeably long (Kuttruff, Room Acoustics; from memory). */
const EYRING_FROM = 0.2;

/**
 * Decay time in one octave after absorption is added to a room that was read. The room's present absorption follows from its
 * present decay, so what it is made of need not be known. Sabine's formula, or Eyring's where the mean coefficient afterwards exceeds
 * 0.2 and the surface is known. The interval carries the reading, the gap between prediction and room, and the spread of tables.
 */
export function predictDecay(input: PredictionInput): PredictedDecay {
  const { sabine_s, eyring_s, formula } = timeAfter(input, input.gain.gain_m2);
  const timeBy = (gain_m2: number) => {
    const times = timeAfter(input, gain_m2);
    return formula === 'eyring' && times.eyring_s !== null ? times.eyring_s : times.sabine_s;
  };
  const time_s = timeBy(input.gain.gain_m2);
  const reading = Math.min(0.9, input.now_expanded_s / input.now_s);
  const short = Math.hypot(Math.log(time_s / timeBy(input.gain.high_m2)), reading);
  const long = Math.hypot(Math.log(timeBy(input.gain.low_m2) / time_s), reading);
  return { time_s, low_s: time_s * Math.exp(-short), high_s: time_s * Math.exp(long), formula, sabine_s, eyring_s };
}

/** The room a prediction starts from: all of its input but what is added and how sure the reading is. */
export type PredictionRoom = Omit<PredictionInput, 'gain' | 'now_expanded_s'>;

/** The middle of `predictDecay` alone, in seconds: for searches that try many additions. */
export function predictedTime_s(room: PredictionRoom, gain_m2: number): number {
  const { sabine_s, eyring_s, formula } = timeAfter(room, gain_m2);
  return formula === 'eyring' && eyring_s !== null ? eyring_s : sabine_s;
}

interface TimesAfter {
  sabine_s: number;
  eyring_s: number | null;
  formula: 'sabine' | 'eyring';
}

function timeAfter(room: PredictionRoom, gain_m2: number): TimesAfter {
  const { volume_m3, surface_m2, speed_m_s, now_s } = room;
  const perSecond_m2 = (DECAY_CONSTANT * volume_m3) / speed_m_s;
  const now_m2 = perSecond_m2 / now_s;
  const sabine_s = perSecond_m2 / (now_m2 + gain_m2);
  if (surface_m2 === null) return { sabine_s, eyring_s: null, formula: 'sabine' };
  const air_m2 = Math.min(4 * room.air_per_m * volume_m3, now_m2);
  const mean = 1 - Math.exp(-(now_m2 - air_m2) / surface_m2) + gain_m2 / surface_m2;
  if (mean >= 1) return { sabine_s, eyring_s: null, formula: 'sabine' };
  const eyring_s = perSecond_m2 / (eyringArea_m2(mean * surface_m2, surface_m2) + air_m2);
  return { sabine_s, eyring_s, formula: mean > EYRING_FROM ? 'eyring' : 'sabine' };
}

/**
 * Octave decay time of a room known only by its surfaces, in seconds, with an interval of about 95 % that spans what the classroom
 * above showed (measured over predicted 1.27 bare and 1.72 carpeted) and what differing tables give: 0.65 to 1.8 times the prediction.
 * Sabine, or Eyring where the mean coefficient exceeds 0.2. null where nothing absorbs or everything would.
 */
export function predictBareRoom(input: {
  volume_m3: number;
  speed_m_s: number;
  air_per_m: number;
  surfaces: readonly { area_m2: number; alpha: number }[];
}): PredictedDecay | null {
  const { volume_m3, speed_m_s, air_per_m, surfaces } = input;
  const perSecond_m2 = (DECAY_CONSTANT * volume_m3) / speed_m_s;
  const absorption_m2 = surfaces.reduce((sum, { area_m2, alpha }) => sum + area_m2 * alpha, 0);
  const surface_m2 = surfaces.reduce((sum, { area_m2 }) => sum + area_m2, 0);
  const air_m2 = 4 * air_per_m * volume_m3;
  if (!(absorption_m2 > 0) || absorption_m2 >= surface_m2) return null;
  const sabine_s = perSecond_m2 / (absorption_m2 + air_m2);
  const eyring_s = perSecond_m2 / (eyringArea_m2(absorption_m2, surface_m2) + air_m2);
  const formula = absorption_m2 / surface_m2 > EYRING_FROM ? 'eyring' : 'sabine';
  const time_s = formula === 'eyring' ? eyring_s : sabine_s;
  return { time_s, low_s: 0.65 * time_s, high_s: 1.8 * time_s, formula, sabine_s, eyring_s };
}
