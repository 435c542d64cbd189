import type { BandQuantity, BandReading, BandWidth, DecayCurve } from '../room/reading.ts';
import { noiseShare } from './noise-share.ts';
import { floorVariance } from './spread-floor.ts';
import { toWorkScale } from './work-scale.ts';

/** The used readings of one response: which stage and place it belongs to. */
export interface ReadingAt {
  stage: string;
  position: string;
  /** File and onset: tells one response from another. */
  take: string;
  bands: BandReading[];
  /** The decays themselves: they tell what two stages share at a place. */
  curves?: readonly DecayCurve[];
  /** Decays averaged in it, where it is not one impulse response: the n of ISO 3382-2:2008, 7. */
  decays?: number;
}

/** What the readings of one quantity at one place come to. Variances on the work scale. */
export interface Place {
  position: string;
  responses: number;
  /** Mean of the readings, in the quantity's unit. */
  mean: number;
  /** Mean of the readings on the work scale. */
  work_mean: number;
  /** Theoretical variance of one reading over places. */
  floor: number;
  /** Share of the floor that is noise of the recording and averages down over repeats. */
  noise_share: number;
  /** Sum of squares of the readings about their mean. */
  within: number;
}

/** One quantity of one band in one stage, over its places. */
export interface Cell {
  stage: string;
  quantity: BandQuantity;
  width: BandWidth;
  centre_hz: number;
  places: Place[];
  /** Used responses of the stage in which this band was looked at, with and without a value. */
  looked_at: number;
  /** Responses with a value. */
  responses: number;
  /** Positions the stage has in all. */
  stage_positions: string[];
  /** Why values are missing, and to be read with care: reason and how many responses give it. */
  refusals: Map<string, number>;
  flags: Map<string, number>;
  /** Responses whose full-range time is refused for two slopes. */
  two_slopes: number;
}

/** The readings of one stage in the bands of one width, by position in order of their names and by response. */
export interface StageReadings {
  stage: string;
  width: BandWidth;
  /** Used responses. */
  looked_at: number;
  places: { position: string; responses: { bands: ReadonlyMap<number, BandReading>; decays: number }[] }[];
}

/**
 * The readings of a stage among others, put in order once for all its cells.
 *
 * @param options.decays averaged decays that a reading counts as where it does not say
 */
export function stageReadings(
  readings: readonly ReadingAt[],
  { stage, width, decays }: { stage: string; width: BandWidth; decays: number },
): StageReadings {
  const mine = readings.filter((reading) => reading.stage === stage);
  const positions = [...new Set(mine.map((reading) => reading.position))].sort(byCodeUnit);
  const places = positions.map((position) => ({
    position,
    responses: mine
      .filter((reading) => reading.position === position)
      .sort((a, b) => byCodeUnit(a.take, b.take))
      .map((reading) => ({ bands: bandsByCentre(reading.bands, width), decays: reading.decays ?? decays })),
  }));
  return { stage, width, looked_at: mine.length, places };
}

function bandsByCentre(bands: readonly BandReading[], width: BandWidth): Map<number, BandReading> {
  const found = new Map<number, BandReading>();
  for (const band of bands) if (band.width === width && !found.has(band.centre_hz)) found.set(band.centre_hz, band);
  return found;
}

/** Gathers one quantity of one band from the readings of a stage, position by position. */
export function gatherCell(readings: StageReadings, quantity: BandQuantity, centre_hz: number): Cell {
  const { stage, width, looked_at } = readings;
  const cell: Cell = {
    stage,
    quantity,
    width,
    centre_hz,
    places: [],
    looked_at,
    responses: 0,
    stage_positions: readings.places.map(({ position }) => position),
    refusals: new Map(),
    flags: new Map(),
    two_slopes: 0,
  };
  for (const { position, responses } of readings.places) {
    const usable: Usable[] = [];
    for (const { bands, decays } of responses) {
      const band = bands.get(centre_hz);
      const found = usableReading(band, quantity, decays);
      if (band?.two_slopes && band.tfull_s === null) cell.two_slopes++;
      if (typeof found === 'string') count(cell.refusals, found);
      else usable.push(found);
      const flag = band?.flags[quantity];
      if (flag !== undefined && typeof found !== 'string') count(cell.flags, flag);
    }
    if (usable.length > 0) cell.places.push(placeOf(position, usable));
    cell.responses += usable.length;
  }
  return cell;
}

interface Usable {
  value: number;
  work: number;
  floor: number;
  noise_share: number;
}

function usableReading(band: BandReading | undefined, quantity: BandQuantity, decays: number): Usable | string {
  if (band === undefined) return 'the band was not read';
  const value = band[quantity];
  if (value === null) return band.refusals[quantity] ?? 'no value could be read';
  const floor = floorVariance(quantity, band, decays);
  if (floor === null) return 'its spread over the room cannot be reckoned: no decay time was read in this band';
  const noise_share = quantity === 'tfull_s' && band.range_db !== null ? noiseShare(band.range_db) : 0;
  return { value, work: toWorkScale(quantity, value), floor, noise_share };
}

function placeOf(position: string, usable: readonly Usable[]): Place {
  const work_mean = mean(usable.map((reading) => reading.work));
  return {
    position,
    responses: usable.length,
    mean: mean(usable.map((reading) => reading.value)),
    work_mean,
    floor: mean(usable.map((reading) => reading.floor)),
    noise_share: mean(usable.map((reading) => reading.noise_share)),
    within: usable.reduce((sum, reading) => sum + (reading.work - work_mean) ** 2, 0),
  };
}

/** Arithmetic mean of at least one number. */
export function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

function count(counts: Map<string, number>, key: string): void {
  counts.set(key, (counts.get(key) ?? 0) + 1);
}

function byCodeUnit(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
