import type { BandQuantity } from '../room/reading.ts';
import type { Cell, Place } from './cells.ts';
import { dofOfJudgement } from './combine-uncertainty.ts';
import type { Contribution } from './finding.ts';

/** How far repeats at one place differ, pooled over cells: as multiples of the floor, the variance of one reading over places. */
export interface Repeatability {
  /**
   * What of the floor repeats do not share: never under the share of noise that theory gives, more where they are seen to differ
   * more. It averages down over repeats, and is not the room's.
   */
  own: (noise_share: number) => number;
  /** Variance of one reading about its place's mean beyond that; 0 or more. */
  excess: number;
  /** Degrees of freedom of the pool; 0: nowhere more than one response at a place, so nothing was seen. */
  dof: number;
}

/**
 * A full-range decay time's standard error is that of one response: with claps of uneven spectrum part of it is the clap's. So
 * where repeats differ by more than the noise's share, it is taken out of the floor, though never more than half of it: what a
 * place does to a decay cannot be less (an assumption, held by the coverage bench).
 */
const MOST_OF_FLOOR = 0.5;

/** Pools the spread of repeats within places over the cells given (neighbouring bands, both stages of a pair). */
export function poolRepeatability(cells: readonly Cell[]): Repeatability {
  let beyond = 0;
  let dof = 0;
  let part_of_floor = false;
  for (const place of cells.flatMap((cell) => cell.places)) {
    const own_dof = place.responses - 1;
    beyond += place.within / place.floor - place.noise_share * own_dof;
    dof += own_dof;
    part_of_floor ||= place.noise_share > 0;
  }
  const surplus = dof === 0 ? 0 : Math.max(0, beyond / dof);
  if (!part_of_floor) return { own: (noise_share) => noise_share, excess: surplus, dof };
  const mean_share = meanShare(cells);
  const taken = Math.min(surplus, Math.max(0, MOST_OF_FLOOR - mean_share));
  return { own: (noise_share) => noise_share + taken, excess: surplus - taken, dof };
}

function meanShare(cells: readonly Cell[]): number {
  const shares = cells.flatMap((cell) => cell.places.map((place) => place.noise_share));
  return shares.reduce((sum, share) => sum + share, 0) / shares.length;
}

/** Variance of a place's mean by the noise of its recordings, on the work scale. */
export function noiseVariance(place: Place): number {
  return (place.noise_share * place.floor) / place.responses;
}

/** Variance of a place's mean by what else differs from repeat to repeat. Of that nothing is known from one response. */
export function repeatVariance(place: Place, { own, excess }: Repeatability): number {
  return ((own(place.noise_share) - place.noise_share + excess) * place.floor) / place.responses;
}

/** How far the spectrum of a clap leaves a band's level against its own direct sound, dB (common practice, no source). */
const CLAP_LEVEL_DB = 2;
/** Relative doubt of that judgement. */
const CLAP_LEVEL_DOUBT = 0.25;

/**
 * What has to be judged where nothing was repeated: a band's level against the broadband direct sound moves with the spectrum of
 * the source. Decay times and clarity compare a band with itself and need no such line.
 */
export function judgedRepeatability(
  quantity: BandQuantity,
  repeatability: Repeatability,
  places: number,
): Contribution[] {
  if (quantity !== 'late_level_db' || repeatability.dof > 0) return [];
  const standard_uncertainty = CLAP_LEVEL_DB / Math.sqrt(places);
  return [{ source: 'repeatability', standard_uncertainty, dof: dofOfJudgement(CLAP_LEVEL_DOUBT) }];
}
