import type { BandReading } from '../room/reading.ts';
import type { ReadingAt } from './cells.ts';
import { upperProbability } from './f-distribution.ts';

/**
 * Takes that disagree with their siblings: with what else was recorded in the same stage at the same position. There the room's
 * fine structure is the same from clap to clap, so repeats differ far less than places do.
 *
 * The test is that of a shift of the mean in a linear model, the suspect's readings left out of the scale they are held against
 * (Cook and Weisberg, Residuals and Influence in Regression, 1982, 2.2.2: externally studentized residuals and their F form for
 * several rows at once), step by step outwards-in as in Rosner's generalized test (Technometrics 25, 1983): the worst is taken out
 * and the rest looked at again, up to `MOST_OUTLIERS` times; the last step that is significant decides how many there are. At
 * every step the significance is divided by the number of looks (Bonferroni).
 *
 * A project of a few claps shows little of how repeats scatter, and by luck next to nothing: so the scale is moderated (Smyth, Stat.
 * Appl. Genet. Mol. Biol. 3, 2004, 3), what is usual counting as `USUAL_DOF` more degrees of freedom.
 */

/** Probability that any take of a clean project is named. */
export const OUTLIER_SIGNIFICANCE = 0.005;
/** Bands in which repeats are alike and places are not. */
const BANDS_HZ: ReadonlySet<number> = new Set([250, 500, 1000, 2000, 4000]);
const MOST_OUTLIERS = 4;
/** An outlier fits another place where its distance from it is not unlikely. */
const FIT_SIGNIFICANCE = 0.01;

/**
 * What is compared, and the usual variance of one reading about those beside it (own simulation of claps, balloons and boards, see
 * the bench; no published source): as much as the standard error of a full-range time, 2 % of T20, 0.5 dB of C50, 4 % of the centre time.
 */
const QUANTITIES = {
  tfull_s: { of: (band: BandReading) => logOf(band.tfull_s), variance: fisherVariance },
  t20_s: { of: (band: BandReading) => logOf(band.t20_s), variance: () => 0.02 ** 2 },
  c50_db: { of: (band: BandReading) => band.c50_db, variance: () => 0.5 ** 2 },
  ts_s: { of: (band: BandReading) => logOf(band.ts_s), variance: () => 0.04 ** 2 },
} as const;
const USUAL_DOF = 12;
type Quantity = keyof typeof QUANTITIES;
const NAMES = Object.keys(QUANTITIES) as Quantity[];
/** A full-range decay time repeats no better than this, however long the decay: hands and air move (common practice, no source). */
const LEAST_SPREAD = 0.008;

export interface Place {
  stage: string;
  position: string;
}

export interface Outlier extends Place {
  /**
   * A file; or, where the place has one file only, one response of it, as file@onset. Two where the place has only these two,
   * the likelier first. */
  takes: string[];
  /** Corrected for the number of looks. */
  p_value: number;
  looks: number;
  /** How much longer the first decays than its siblings, mean over the bands, and how far its clarity lies above theirs. */
  decay_percent: number | null;
  clarity_db: number | null;
  /** Another place whose readings the first of them fits. */
  fits: Place | null;
}

/** One reading of one unit, ready to be held against others. */
interface Row {
  unit: string;
  place: string;
  quantity: Quantity;
  centre_hz: number;
  value: number;
  variance: number;
}

/** Returns the takes that disagree with their siblings beyond chance, the worst first. The order of the readings does not matter. */
export function findOutliers(readings: readonly ReadingAt[]): Outlier[] {
  const places = new Map(readings.map(({ stage, position }) => [placeKey({ stage, position }), { stage, position }]));
  const rows = rowsOf(readings);
  const steps: { unit: string; p_value: number; looks: number }[] = [];
  let left = rows;
  while (steps.length < MOST_OUTLIERS) {
    const worst = mostDeviant(left);
    if (worst === null) break;
    steps.push(worst);
    left = left.filter(({ unit }) => unit !== worst.unit);
  }
  const count = steps.findLastIndex(({ p_value }) => p_value < OUTLIER_SIGNIFICANCE) + 1;
  const named = new Set(steps.slice(0, count).map(({ unit }) => unit));
  const sound = rows.filter(({ unit }) => !named.has(unit));
  return steps.slice(0, count).map(({ unit, p_value, looks }) => {
    const place = rows.find((row) => row.unit === unit)!.place;
    const here = rows.filter((row) => row.place === place);
    // Of two takes nobody knows which is wrong; where just one of them fits elsewhere, it is the likelier.
    const suspects =
      new Set(here.map((row) => row.unit)).size === 2 ? [...new Set(here.map((row) => row.unit))] : [unit];
    const fitting = suspects.flatMap((suspect) => {
      const elsewhere = fittingPlace(
        here.filter((row) => row.unit === suspect),
        sound,
      );
      return elsewhere === null ? [] : [{ suspect, fits: places.get(elsewhere)! }];
    });
    const found = fitting.length === 1 ? fitting[0]! : { suspect: unit, fits: null };
    const own = here.filter((row) => row.unit === found.suspect);
    const beside = here.filter((row) => row.unit !== found.suspect);
    const takes = suspects.length === 2 ? [found.suspect, ...suspects.filter((one) => one !== found.suspect)] : [unit];
    return { ...places.get(place)!, takes, p_value, looks, ...deviation(own, beside), fits: found.fits };
  });
}

/** The unit whose shift against its siblings is the least likely by chance; null where nothing can be compared. */
function mostDeviant(rows: readonly Row[]): { unit: string; p_value: number; looks: number } | null {
  const tests = NAMES.flatMap((quantity) => shiftTests(rows.filter((row) => row.quantity === quantity)));
  if (tests.length === 0) return null;
  const worst = tests.reduce((least, test) => (test.p_value < least.p_value ? test : least));
  return { unit: worst.unit, p_value: Math.min(1, worst.p_value * tests.length), looks: tests.length };
}

/** The F test of each unit for one quantity: its shift in every band against what is left of the scatter once it is taken out. */
function shiftTests(rows: readonly Row[]): { unit: string; p_value: number }[] {
  const groups = groupBy(rows, ({ place, centre_hz }) => `${place}\n${centre_hz}`);
  const all = [...groups.values()].map(scatter).reduce(added, NO_SCATTER);
  return [...groupBy(rows, ({ unit }) => unit)].flatMap(([unit, own]) => {
    const shifts = distinctBands(own).flatMap(({ place, centre_hz }): number[] => {
      const group = groups.get(`${place}\n${centre_hz}`)!;
      const others = group.filter((row) => row.unit !== unit);
      if (others.length === 0) return [];
      const apart = added(scatter(others), scatter(group.filter((row) => row.unit === unit)));
      return [scatter(group).sum - apart.sum];
    });
    // One band may be misread by chance; what is wrong with a take shows in all of them. Leaving out the worst only makes the test stricter.
    const kept = shifts.sort((a, b) => a - b).slice(0, -1);
    if (kept.length === 0) return [];
    const under = all.dof - shifts.length + USUAL_DOF;
    const scale = (all.sum - total(shifts) + USUAL_DOF) / under;
    return [{ unit, p_value: upperProbability(total(kept) / kept.length / scale, { over: kept.length, under }) }];
  });
}

interface Scatter {
  /** Of squares about the mean, each over its variance. */
  sum: number;
  dof: number;
}
const NO_SCATTER: Scatter = { sum: 0, dof: 0 };

function scatter(rows: readonly Row[]): Scatter {
  if (rows.length === 0) return NO_SCATTER;
  const mean = weightedMean(rows);
  let sum = 0;
  for (const { value, variance } of rows) sum += (value - mean) ** 2 / variance;
  return { sum, dof: rows.length - 1 };
}

function weightedMean(rows: readonly Row[]): number {
  let [sum, weights] = [0, 0];
  for (const { value, variance } of rows) {
    sum += value / variance;
    weights += 1 / variance;
  }
  return sum / weights;
}

function added(a: Scatter, b: Scatter): Scatter {
  return { sum: a.sum + b.sum, dof: a.dof + b.dof };
}

/** The other place whose readings an outlier fits best, if it fits them in every quantity; null where it fits none. */
function fittingPlace(own: readonly Row[], sound: readonly Row[]): string | null {
  const from = own[0]!.place;
  let best: { place: string; p_value: number } | null = null;
  for (const place of new Set(sound.map((row) => row.place))) {
    if (place === from) continue;
    const moved = own.map((row) => ({ ...row, place }));
    const there = sound.filter((row) => row.place === place);
    const tests = NAMES.flatMap((quantity) => {
      const rest = sound.filter((row) => row.quantity === quantity);
      const suspect = moved.filter((row) => row.quantity === quantity && there.some((other) => same(row, other)));
      return suspect.length === 0
        ? []
        : shiftTests([...rest, ...suspect]).filter(({ unit }) => unit === suspect[0]!.unit);
    });
    if (tests.length === 0) continue;
    const p_value = Math.min(...tests.map((test) => test.p_value)) * tests.length;
    if (p_value >= FIT_SIGNIFICANCE && (best === null || p_value > best.p_value)) best = { place, p_value };
  }
  return best?.place ?? null;
}

function deviation(own: readonly Row[], beside: readonly Row[]): Pick<Outlier, 'decay_percent' | 'clarity_db'> {
  const shift = (quantity: Quantity): number | null => {
    const shifts = distinctBands(own.filter((row) => row.quantity === quantity)).flatMap((band) => {
      const alike = (row: Row) => row.quantity === quantity && row.centre_hz === band.centre_hz;
      const others = beside.filter(alike);
      return others.length === 0 ? [] : [weightedMean(own.filter(alike)) - weightedMean(others)];
    });
    return shifts.length === 0 ? null : total(shifts) / shifts.length;
  };
  const decay = shift('tfull_s') ?? shift('t20_s');
  return { decay_percent: decay === null ? null : 100 * (Math.exp(decay) - 1), clarity_db: shift('c50_db') };
}

/** A unit is a file; where a place has one file only, each response in it. */
function rowsOf(readings: readonly ReadingAt[]): Row[] {
  const files = new Map<string, Set<string>>();
  for (const reading of readings) {
    const place = placeKey(reading);
    files.set(place, (files.get(place) ?? new Set()).add(fileOf(reading.take)));
  }
  return [...readings]
    .sort((a, b) => (a.take < b.take ? -1 : a.take > b.take ? 1 : 0))
    .flatMap((reading) => {
      const place = placeKey(reading);
      const unit = files.get(place)!.size > 1 ? fileOf(reading.take) : reading.take;
      return reading.bands
        .filter((band) => band.width === 'octave' && BANDS_HZ.has(band.centre_hz))
        .flatMap((band) =>
          NAMES.flatMap((quantity): Row[] => {
            const value = QUANTITIES[quantity].of(band);
            const variance = QUANTITIES[quantity].variance(band);
            if (value === null || variance === null) return [];
            return [{ unit, place, quantity, centre_hz: band.centre_hz, value, variance }];
          }),
        );
    });
}

function placeKey({ stage, position }: Place): string {
  return `${stage}\n${position}`;
}

function fileOf(take: string): string {
  return take.slice(0, take.lastIndexOf('@'));
}

function same(a: Row, b: Row): boolean {
  return a.quantity === b.quantity && a.centre_hz === b.centre_hz;
}

function distinctBands(rows: readonly Row[]): Row[] {
  return [...new Map(rows.map((row) => [row.centre_hz, row])).values()];
}

function total(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0);
}

function groupBy<T>(values: readonly T[], keyOf: (value: T) => string): Map<string, T[]> {
  const groups = new Map<string, T[]>();
  for (const value of values) {
    const key = keyOf(value);
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [value]);
    else group.push(value);
  }
  return groups;
}

function logOf(value: number | null): number | null {
  return value === null ? null : Math.log(value);
}

function fisherVariance({ tfull_s, tfull_standard_error_s }: BandReading): number | null {
  if (tfull_s === null || tfull_standard_error_s === null) return null;
  return (tfull_standard_error_s / tfull_s) ** 2 + LEAST_SPREAD ** 2;
}
