import { airPowerCoefficient_per_m } from '../room/air.ts';
import { median } from '../signal/median.ts';
import type { ReadingAt } from './cells.ts';
import { quotedId } from './quoted-id.ts';

/** What is known of a stage besides its readings. null: not stated. */
export interface StageConditions {
  id: string;
  temperature_c: number | null;
  humidity_percent: number | null;
  /** What made the sound, and the microphone's pattern, where stated. */
  source_kind?: string | null;
  microphone_pattern?: string | null;
}

/** Beyond this difference in temperature two stages are compared with a warning (common practice, no source). */
export const LARGEST_TEMPERATURE_DIFFERENCE = 5;

/** Beyond this difference in range two stages are compared with a warning (common practice, no source). */
const LARGEST_RANGE_DIFFERENCE_DB = 10;

/** Speed of sound at 0 degrees Celsius and its rise per degree (ISO 354:2003, 8.1.2.1). */
const SPEED_AT_ZERO = 331;
const SPEED_PER_DEGREE = 0.6;

/** Sabine's constant, 24 ln(10): T = 24 ln(10) V / (c A). */
const SABINE = 24 * Math.LN10;

export interface PairReadings {
  before: StageConditions;
  after: StageConditions;
  readings: readonly ReadingAt[];
}

/** What else differs between two stages besides the treatment, in plain sentences, each with what follows from it. */
export function comparisonWarnings({ before, after, readings }: PairReadings): string[] {
  const pair = [before, after];
  const places = pair.map((stage) => placesOf(readings, stage.id));
  return [
    ...missingPositions(before.id, after.id, places),
    ...pair.flatMap((stage) => fewTakes(stage.id, readings)),
    ...differing(before, after, 'source_kind', 'the source', 'they do not sound into the room alike'),
    ...differing(
      before,
      after,
      'microphone_pattern',
      'the pattern of the microphone',
      'it hears another share of the room',
    ),
    ...temperatures(before, after),
    ...ranges(before.id, after.id, readings),
  ];
}

function placesOf(readings: readonly ReadingAt[], stage: string): string[] {
  return [...new Set(readings.filter((reading) => reading.stage === stage).map((reading) => reading.position))].sort();
}

function missingPositions(before: string, after: string, places: readonly string[][]): string[] {
  const [first, second] = places as [string[], string[]];
  if (first.length === 0 || second.length === 0) return [];
  const shared = first.filter((name) => second.includes(name));
  if (shared.length === 0) {
    return [
      `${quotedId(before)} and ${quotedId(after)} share no position: part of the change may be the change of place.`,
    ];
  }
  const lost = (names: string[], has: string, lacks: string) =>
    names.length === 0
      ? []
      : [
          `Position ${names.join(', ')} was measured in ${quotedId(has)} and not in ${quotedId(lacks)}: the change leaves it out.`,
        ];
  return [
    ...lost(
      first.filter((name) => !shared.includes(name)),
      before,
      after,
    ),
    ...lost(
      second.filter((name) => !shared.includes(name)),
      after,
      before,
    ),
  ];
}

function fewTakes(stage: string, readings: readonly ReadingAt[]): string[] {
  const count = readings.filter((reading) => reading.stage === stage).length;
  return count === 1 ? [`${quotedId(stage)} rests on one response: how far repeats differ was not seen.`] : [];
}

function differing(
  before: StageConditions,
  after: StageConditions,
  key: 'source_kind' | 'microphone_pattern',
  what: string,
  consequence: string,
): string[] {
  const [first, second] = [before[key] ?? null, after[key] ?? null];
  if (first === null || second === null || first === second) return [];
  return [
    `Besides the treatment ${what} changed, from ${first} in ${quotedId(before.id)} to ${second} in ${quotedId(after.id)}: ${consequence}.`,
  ];
}

function temperatures(before: StageConditions, after: StageConditions): string[] {
  if (before.temperature_c === null || after.temperature_c === null) return [];
  const difference = Math.abs(after.temperature_c - before.temperature_c);
  if (difference <= LARGEST_TEMPERATURE_DIFFERENCE) return [];
  return [
    `The air was ${before.temperature_c} C in ${quotedId(before.id)} and ${after.temperature_c} C in ${quotedId(after.id)}: ` +
      'part of the change, above all at 4 and 8 kHz, is the air.',
  ];
}

/**
 * The octaves in which the full-range time was read over ranges far apart. It follows the whole of a decay, and real
 * decays bend a little, most often so that they fall more slowly late than early: over more range it then reads longer. T20 and T30 end
 * at a stated depth and do not move with the range.
 */
function ranges(before: string, after: string, readings: readonly ReadingAt[]): string[] {
  const [first, second] = [before, after].map((stage) => medianRanges_db(readings, stage)) as [Ranges, Ranges];
  const apart = [...first].flatMap(([centre_hz, range_db]) => {
    const other_db = second.get(centre_hz);
    const far = other_db !== undefined && Math.abs(range_db - other_db) > LARGEST_RANGE_DIFFERENCE_DB;
    return far ? [{ centre_hz, range_db, other_db }] : [];
  });
  if (apart.length === 0) return [];
  const bands = apart.map(({ centre_hz }) => centre_hz).join(', ');
  const middle = (levels_db: number[]) => Math.round(median(levels_db));
  const [from_db, to_db] = [apart.map(({ range_db }) => range_db), apart.map(({ other_db }) => other_db)].map(middle);
  return [
    `The decay stood ${from_db} dB over the noise in ${quotedId(before)} and ${to_db} dB in ${quotedId(after)} at ${bands} Hz: where a ` +
      'decay bends, part of the change in full-range time comes from that; T20 and T30 do not depend on it.',
  ];
}

type Ranges = Map<number, number>;

/** Median range of the octave readings of a stage that give a full-range time, by band. */
function medianRanges_db(readings: readonly ReadingAt[], stage: string): Ranges {
  const found = new Map<number, number[]>();
  for (const { bands } of readings.filter((reading) => reading.stage === stage)) {
    for (const { width, centre_hz, range_db, tfull_s } of bands) {
      if (width !== 'octave' || range_db === null || tfull_s === null) continue;
      found.set(centre_hz, [...(found.get(centre_hz) ?? []), range_db]);
    }
  }
  return new Map([...found].sort(([a], [b]) => a - b).map(([centre_hz, levels_db]) => [centre_hz, median(levels_db)]));
}

/**
 * Standard uncertainty of the ratio of two decay times by their difference in temperature, which changes the speed of sound and
 * with it the decay (T goes as 1/c by Sabine's formula). The whole effect is taken as the half-width of a rectangle
 * (JCGM 100:2008, 4.3.7); 0 where a temperature is not stated.
 */
export function temperatureUncertainty(before: StageConditions, after: StageConditions): number {
  if (before.temperature_c === null || after.temperature_c === null) return 0;
  const speeds = [before.temperature_c, after.temperature_c].map((t) => SPEED_AT_ZERO + SPEED_PER_DEGREE * t);
  return Math.abs(Math.log(speeds[1]! / speeds[0]!)) / Math.sqrt(3);
}

/**
 * How far the difference in air alone would have changed a decay time, in per cent, signed: air adds 4 m V to the absorption
 * area (ISO 354:2003, 6.1), hence 4 m c / 55.26 to 1/T whatever the volume. null where the air of a stage is not stated.
 */
export function airEffectPercent(
  before: StageConditions,
  after: StageConditions,
  band: { centre_hz: number; decay_s: number },
): number | null {
  const rates = [before, after].map(({ temperature_c, humidity_percent }) => {
    if (temperature_c === null || humidity_percent === null) return null;
    const speed = SPEED_AT_ZERO + SPEED_PER_DEGREE * temperature_c;
    return (4 * speed * airPowerCoefficient_per_m(band.centre_hz, { temperature_c, humidity_percent })) / SABINE;
  });
  const [first, second] = rates;
  if (first == null || second == null) return null;
  return 100 * (1 / (1 + band.decay_s * (second - first)) - 1);
}

/** Effects of the air under this are not worth a sentence. */
const AIR_WORTH_SAYING_PERCENT = 1;

/** What the air does at 4 and 8 kHz, in one sentence; none where it is not known or does next to nothing. */
export function airWarning(effects: readonly { centre_hz: number; percent: number | null }[]): string[] {
  const told = effects.filter(({ percent }) => percent !== null && Math.abs(percent) >= AIR_WORTH_SAYING_PERCENT);
  if (told.length === 0) return [];
  const list = told
    .map(({ centre_hz, percent }) => `${percent!.toFixed(1)} % at ${centre_hz / 1000} kHz`)
    .join(' and ');
  return [`The difference in air alone changes the decay by about ${list}; the figures are not corrected for it.`];
}
