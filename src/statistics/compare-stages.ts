import { BAND_QUANTITIES, BAND_WIDTHS, type BandQuantity, type BandWidth } from '../room/reading.ts';
import { type Cell, gatherCell, type ReadingAt, stageReadings } from './cells.ts';
import { changeOfMean, changeValue } from './change-value.ts';
import {
  airEffectPercent,
  airWarning,
  comparisonWarnings,
  type StageConditions,
  temperatureUncertainty,
} from './comparison-warnings.ts';
import type { Change, ChangeValue, StageFinding, StageValue } from './finding.ts';
import { headline } from './headline.ts';
import { holm } from './holm.ts';
import type { SpreadSeen } from './place-variance.ts';
import { poolRepeatability } from './repeatability.ts';
import { neighbouring, PAIRED_NEIGHBOURHOOD_OCTAVES, sharedPlaces, spreadOfCell, spreadOfPair } from './room-spread.ts';
import { settling } from './settle.ts';
import { type SharedByBand, type StageDecays, sharedByBand, sharedNear, stageDecays } from './shared-structure.ts';
import { DECAYS_OF_AN_IMPULSE } from './spread-floor.ts';
import { meanOfBands, type StageEvidence, stageValue } from './stage-value.ts';
import { isRatio } from './work-scale.ts';

export type { ReadingAt } from './cells.ts';

export interface ComparisonInput {
  /** In project order. */
  stages: readonly StageConditions[];
  /** Used responses only. */
  readings: readonly ReadingAt[];
  pairs: readonly (readonly [from: string, to: string])[];
  /** Octave bands of the headline, nominal; default 500 and 1000 Hz. */
  headline_bands_hz?: readonly number[];
  /** The bands compared; left out, octaves and third octaves. Headline and warnings come with the octaves. */
  widths?: readonly BandWidth[];
  /** The quantities compared, none of which depends on another; left out, all. The headline needs the decay times. */
  quantities?: readonly BandQuantity[];
  /** Averaged decays each reading counts as in the spread of T20 and T30; default 10, an impulse response (ISO 3382-2:2008, 7). */
  decays_per_reading?: number;
}

const MID_BANDS_HZ = [500, 1000] as const;

/**
 * What was found in each stage, and what changed between the stages of each pair: every quantity in every band read, and for
 * octaves the mean of 500 and 1000 Hz, with 95 % intervals, verdicts and the headline. The order of the readings does not matter.
 * Throws where a pair names a stage that is not there.
 */
export function compareStages(input: ComparisonInput): Comparison {
  const families = familiesOf(input);
  const stages = input.stages.map(({ id }) => ({ id, values: families.flatMap((family) => valuesOf(family, id)) }));
  const decays = new Map((input.widths ?? BAND_WIDTHS).map((width) => [width, stageDecays(input.readings, width)]));
  return { stages, changes: input.pairs.map((pair) => changeOf(input, { families, decays }, pair)) };
}

export interface Comparison {
  stages: StageFinding[];
  changes: Change[];
}

/** The comparison in both widths, from one in each: as `compareStages` gives it at once. */
export function joinedComparison<Octaves extends Comparison>(octaves: Octaves, thirds: Comparison): Octaves {
  const join = <Found extends { values: unknown[] }>(found: Found[], more: readonly Found[]) =>
    found.map((one, i) => ({ ...one, values: [...one.values, ...more[i]!.values] }));
  return { ...octaves, stages: join(octaves.stages, thirds.stages), changes: join(octaves.changes, thirds.changes) };
}

/** One quantity in the bands of one width: the cells of every stage, which share what they tell of the spread. */
interface Family {
  quantity: BandQuantity;
  width: BandWidth;
  centres_hz: number[];
  cells: Cell[];
  /** What all stages show of the spread near each band. */
  evidence: ReadonlyMap<number, StageEvidence>;
}

function familiesOf(input: ComparisonInput): Family[] {
  const decays = input.decays_per_reading ?? DECAYS_OF_AN_IMPULSE;
  const families: Family[] = [];
  const { quantities: wanted = BAND_QUANTITIES } = input;
  const quantities = BAND_QUANTITIES.filter((quantity) => wanted.includes(quantity));
  for (const width of input.widths ?? BAND_WIDTHS) {
    const centres = new Set<number>();
    for (const { bands } of input.readings) {
      for (const band of bands) if (band.width === width) centres.add(band.centre_hz);
    }
    const centres_hz = [...centres].sort((a, b) => a - b);
    if (centres_hz.length === 0) continue;
    const ofStages = input.stages.map(({ id }) => stageReadings(input.readings, { stage: id, width, decays }));
    for (const quantity of quantities) {
      const cells = ofStages.flatMap((one) => centres_hz.map((centre_hz) => gatherCell(one, quantity, centre_hz)));
      const evidence = new Map(centres_hz.map((centre_hz) => [centre_hz, evidenceNear(cells, centre_hz)]));
      families.push({ quantity, width, centres_hz, cells, evidence });
    }
  }
  return families;
}

function cellOf(family: Family, stage: string, centre_hz: number): Cell {
  const cell = family.cells.find((candidate) => candidate.stage === stage && candidate.centre_hz === centre_hz);
  if (cell === undefined) throw new RangeError(`no stage ${stage}`);
  return cell;
}

/** The spread over places seen near a band in any stage, and how far repeats differ there. */
function evidenceNear(cells: readonly Cell[], centre_hz: number): StageEvidence {
  const near = neighbouring(cells, centre_hz);
  const repeatability = poolRepeatability(near);
  const seen = near
    .map((cell) => spreadOfCell(cell, repeatability))
    .filter((spread): spread is SpreadSeen => spread !== null);
  return { seen, repeatability };
}

function valuesOf(family: Family, stage: string): StageValue[] {
  const values = family.centres_hz.map((centre_hz) =>
    stageValue(cellOf(family, stage, centre_hz), family.evidence.get(centre_hz)!),
  );
  const mid = MID_BANDS_HZ.map((centre_hz) => values.find((value) => value.centre_hz === centre_hz));
  if (family.width === 'octave' && mid.every((value) => value !== undefined)) values.push(meanOfBands(mid));
  return values;
}

function changeOf(
  input: ComparisonInput,
  { families, decays }: { families: readonly Family[]; decays: ReadonlyMap<BandWidth, StageDecays> },
  [from, to]: readonly [string, string],
): Change {
  const [before, after] = [from, to].map((id) => {
    const stage = input.stages.find((candidate) => candidate.id === id);
    if (stage === undefined) throw new RangeError(`no stage ${id}`);
    return stage;
  }) as [StageConditions, StageConditions];
  const shared = new Map([...decays].map(([width, one]) => [width, sharedByBand(one, [from, to], width)]));
  const compared = families.map((family) => compareFamily(family, [before, after], shared.get(family.width)!));
  return {
    from,
    to,
    headline: headlineOf(compared, input.headline_bands_hz ?? MID_BANDS_HZ, [from, to]),
    values: compared.flatMap(({ values }) => values),
    warnings: [...comparisonWarnings({ before, after, readings: input.readings }), ...airWarning(airEffects(compared))],
  };
}

const AIR_BANDS_HZ = [4000, 8000] as const;

/** The effect of the air on the octaves it governs, by the first decay time that was measured there. */
function airEffects(compared: readonly ComparedFamily[]): { centre_hz: number; percent: number | null }[] {
  return AIR_BANDS_HZ.map((centre_hz) => {
    const changes = compared
      .filter(({ family }) => family.width === 'octave')
      .flatMap(({ values }) => values.filter((value) => value.centre_hz === centre_hz && value.air_percent !== null));
    return { centre_hz, percent: changes[0]?.air_percent ?? null };
  });
}

interface ComparedFamily {
  family: Family;
  values: ChangeValue[];
  /** Change of the mean over some of the bands. */
  meanOver: (bands: readonly ChangeValue[]) => ChangeValue;
}

function compareFamily(
  family: Family,
  [before, after]: readonly [StageConditions, StageConditions],
  shared: SharedByBand,
): ComparedFamily {
  const pairCells = family.centres_hz.map((centre_hz) => {
    const cells = [before, after].map(({ id }) => cellOf(family, id, centre_hz)) as [Cell, Cell];
    return { centre_hz, before: cells[0], after: cells[1], places: sharedPlaces(...cells) };
  });
  const own = pairCells.flatMap((cells) => [cells.before, cells.after]);
  const values = pairCells.map((cells) => {
    const repeatability = poolRepeatability(neighbouring(own, cells.centre_hz));
    const paired = neighbouring(pairCells, cells.centre_hz, PAIRED_NEIGHBOURHOOD_OCTAVES).flatMap((near) =>
      spreadOfPair(near.places, repeatability),
    );
    const change = changeValue(cells.before, cells.after, {
      paired,
      single: family.evidence.get(cells.centre_hz)!.seen,
      repeatability,
      shared: sharedNear(shared, cells.centre_hz),
      temperature: temperatureUncertainty(before, after),
      air_percent: airPercent(cells.before, [before, after]),
    });
    return { ...change, to_settle: settling(change, responsesPerPosition(cells.before, cells.after)) };
  });
  correctForLooks(values);
  const meanOver = (bands: readonly ChangeValue[]) => {
    const means = (cell: 'before' | 'after') =>
      bands.map((band) => {
        const found = pairCells.find(({ centre_hz }) => centre_hz === band.centre_hz)!;
        return sharedMean(found.before, found.after)[cell];
      });
    return changeOfMean(bands, means('before'), means('after'));
  };
  const mid = values.filter((value) => MID_BANDS_HZ.some((centre_hz) => centre_hz === value.centre_hz));
  if (family.width === 'octave' && mid.length === MID_BANDS_HZ.length) values.push(meanOver(mid));
  return { family, values, meanOver };
}

/** Means of the position means, over the positions both stages have, or over all where they share none. */
function sharedMean(before: Cell, after: Cell): { before: number; after: number } {
  const pair = sharedPlaces(before, after);
  const places = pair.before.length > 0 ? pair : { before: before.places, after: after.places };
  const mean = (cells: Cell['places']) => cells.reduce((sum, place) => sum + place.mean, 0) / cells.length;
  return { before: mean(places.before), after: mean(places.after) };
}

function responsesPerPosition(before: Cell, after: Cell): number {
  const places = [...before.places, ...after.places];
  return Math.max(1, places.reduce((sum, place) => sum + place.responses, 0) / Math.max(1, places.length));
}

function airPercent(before: Cell, [first, second]: readonly [StageConditions, StageConditions]): number | null {
  if (!isRatio(before.quantity) || before.places.length === 0) return null;
  return airEffectPercent(first, second, {
    centre_hz: before.centre_hz,
    decay_s: sharedMean(before, before).before,
  });
}

function correctForLooks(values: ChangeValue[]): void {
  const looked = values.filter((value) => value.p_value !== null);
  const corrected = holm(looked.map((value) => value.p_value!));
  looked.forEach((value, i) => {
    value.p_holm = corrected[i]!;
  });
}

function headlineOf(
  compared: readonly ComparedFamily[],
  bands_hz: readonly number[],
  stages: readonly [string, string],
): Change['headline'] {
  const octaves = compared.filter(({ family }) => family.width === 'octave');
  const two_slopes_hz = bands_hz.filter((centre_hz) =>
    octaves.some(({ family }) =>
      family.cells.some(
        (cell) => cell.centre_hz === centre_hz && stages.includes(cell.stage) && cell.two_slopes * 2 > cell.looked_at,
      ),
    ),
  );
  const order: BandQuantity[] = two_slopes_hz.length > 0 ? ['t20_s', 'edt_s'] : ['tfull_s', 't30_s', 't20_s'];
  const candidates = order.flatMap((quantity) => {
    const found = octaves.find(({ family }) => family.quantity === quantity);
    if (found === undefined) return [];
    const bands = found.values.filter((value) => bands_hz.some((centre_hz) => centre_hz === value.centre_hz));
    return [{ quantity, bands, mean: found.meanOver }];
  });
  return headline({ candidates, two_slopes_hz });
}
