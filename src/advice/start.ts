import type { Treatment } from '../project/project.ts';
import { type CoefficientBasis, type PredictionRoom, predictedTime_s } from '../room/prediction.ts';
import type { BandDistance, DecayEstimate } from '../room/target-distance.ts';
import type { AdviceStatus } from './advice.ts';

/** One octave as advice starts from it: the reading, the target where there is one, and what a prediction needs. */
export interface StartBand {
  now: DecayEstimate;
  room: PredictionRoom;
  distance: BandDistance | null;
}

/** What forecasts are held against. */
export interface Start {
  status: AdviceStatus;
  bands: readonly StartBand[];
  budget: number | null;
  free_area_m2: number | null;
}

/** A thing to be judged: a listed option or a row of the table of materials at some area. */
export interface Candidate extends Pick<Treatment, 'name' | 'area' | 'thickness' | 'air_gap' | 'cost' | 'absorption'> {
  option: number | null;
  material: string | null;
  basis: CoefficientBasis;
}

/** The octaves that lie above their tolerance at 95 %: the only ones more absorption is for. */
export function tooLong(start: Start): StartBand[] {
  return start.bands.filter(({ distance }) => distance?.state === 'too-long');
}

/** Whether the room calls for absorption at all. */
export function callsForAbsorption(status: AdviceStatus): boolean {
  return status === 'too-long' || status === 'mixed';
}

/** Predicted decay time in seconds of an octave after `gain_m2` is added to it. */
export function timeWith(band: StartBand, gain_m2: number): number {
  return gain_m2 === 0 ? band.now.time_s : predictedTime_s(band.room, gain_m2);
}

/** Whether adding `gain_m2` takes an octave with a target below its tolerance, or further below. */
export function wouldOvershoot(band: StartBand, gain_m2: number): boolean {
  return gain_m2 > 0 && band.distance !== null && timeWith(band, gain_m2) < band.distance.low_s;
}
