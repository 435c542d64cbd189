import type { BandReading, BandWidth, DecayCurve } from '../room/reading.ts';
import type { ReadingAt } from './cells.ts';
import { bandwidthHz } from './spread-floor.ts';

/**
 * How much of the fine structure of their decays two stages share, as their recordings show it.
 *
 * About its exponential the energy of a decay goes up and down at random, from place to place otherwise; these ups and downs are
 * what throws a decay time off. Where a stage leaves the field at a place partly as it was, the same ups and downs are in both
 * stages' decays, throw both times off alike, and cancel in their difference. So the correlation of the two stages' energies,
 * cell by cell, each against its own exponential, is the correlation of their errors (own derivation: a decay time is to first
 * order a weighted sum of the cells' relative energies, so that the ratio of covariance to variance is that of the cells). Unlike
 * the spread over places it can be seen at one place, where a decay has many cells. Noise, claps of unlike spectrum and clocks or
 * temperatures a little apart make it smaller, never larger, so the interval errs to the wide side.
 *
 * What places differ by beyond theory is taken to be shared in the same measure (an assumption): the fine structure is
 * interference, the first thing that a change in a room destroys, so whatever else a place does to a decay outlasts it.
 */
export interface SharedStructure {
  /** Of the energies, cell by cell, about their exponentials. */
  correlation: number;
  /** So many independent pairs of normal values would tell it as well. */
  pairs: number;
}

/** Past the direct sound and the first reflections, where the full-range fit starts at the latest. */
const FROM_S = 0.02;
/** Only what stands so far over the noise. */
const OVER_NOISE_DB = 10;
/** Fewer cells than this tell nothing once mean and slope are taken off. */
const LEAST_CELLS = 6;
/** Mean and slope of each are fitted. */
const FITTED = 3;
/** Cells of energy scatter about like an exponential variable, whose correlation is known less well than a normal one's (own simulation). */
const CELLS_A_PAIR = 1.6;
/** How far up a band looks for others that tell of it, octaves. */
const NEIGHBOURHOOD_OCTAVES = 2.1;
const SIXTY_DB = Math.log(1e6);
/** Of energy; a power of ten takes several times as long as an exponential. */
const NEPERS_PER_DB = Math.LN10 / 10;

/** The bands of one width in which two stages tell what they share. */
export type SharedByBand = ReadonlyMap<number, SharedStructure>;

/**
 * Compares the decays of two stages at the places both have, octave by octave or third by third. A band is left out where no
 * place has a decay of one slope in both stages, or where the decays came without their curves.
 */
export function sharedByBand(
  decays: StageDecays,
  [from, to]: readonly [string, string],
  width: BandWidth,
): SharedByBand {
  const found = new Map<number, SharedStructure>();
  const bandsAfter = decays.get(to);
  for (const [centre_hz, places] of decays.get(from) ?? []) {
    const placesAfter = bandsAfter?.get(centre_hz);
    const shared: SharedStructure[] = [];
    for (const [position, before] of places) {
      const one = atPlace(before, placesAfter?.get(position) ?? [], bandwidthHz(width, centre_hz));
      if (one !== null) shared.push(one);
    }
    const pooled = pool(shared);
    if (pooled !== null) found.set(centre_hz, pooled);
  }
  return found;
}

/**
 * What a band and those up to two octaves above it tell together; null where none tells anything. What is moved or put up in a
 * room changes its field the more, the shorter the wave, so that the bands above share no more than the band itself: they may
 * lend it their cells, and those below may not (an assumption; it errs to the wide side).
 */
export function sharedNear(shared: SharedByBand, centre_hz: number): SharedStructure | null {
  const near = [...shared].filter(([centre]) => {
    return centre >= centre_hz && Math.log2(centre / centre_hz) < NEIGHBOURHOOD_OCTAVES;
  });
  return pool(near.map(([, one]) => one));
}

/** Logarithm of the likelihood of a correlation, up to a constant: Fisher's z is about normal (Biometrika 10 (1915) 507-521, from memory). */
export function likelihoodOfShared({ correlation, pairs }: SharedStructure, supposed: number): number {
  return -(pairs / 2) * (Math.atanh(correlation) - Math.atanh(supposed)) ** 2;
}

function pool(shared: readonly SharedStructure[]): SharedStructure | null {
  const pairs = shared.reduce((sum, one) => sum + one.pairs, 0);
  if (pairs === 0) return null;
  return { correlation: shared.reduce((sum, one) => sum + one.pairs * one.correlation, 0) / pairs, pairs };
}

/** A decay of one slope with its curve. */
export interface Decay {
  curve: DecayCurve;
  decay_s: number;
  /** Seconds after time zero up to which it stands well over the noise. */
  until_s: number;
}

/** The decays of each stage by band and position. */
export type StageDecays = ReadonlyMap<string, ReadonlyMap<number, ReadonlyMap<string, readonly Decay[]>>>;

/** The decays of one slope among some readings, of one width. */
export function stageDecays(readings: readonly ReadingAt[], width: BandWidth): StageDecays {
  const found = new Map<string, Map<number, Map<string, Decay[]>>>();
  for (const { stage, position, bands, curves = [] } of readings) {
    const ofStage = existing(found, stage, () => new Map<number, Map<string, Decay[]>>());
    for (const curve of curves) {
      if (curve.width !== width) continue;
      const band = bands.find((one) => one.width === width && one.centre_hz === curve.centre_hz);
      const decay = band === undefined ? null : usableDecay(band, curve);
      if (decay === null) continue;
      const places = existing(ofStage, curve.centre_hz, () => new Map<string, Decay[]>());
      existing(places, position, (): Decay[] => []).push(decay);
    }
  }
  return found;
}

/** What a map holds for a key, put there if there was nothing. */
function existing<Key, Value>(map: Map<Key, Value>, key: Key, make: () => Value): Value {
  const there = map.get(key) ?? make();
  map.set(key, there);
  return there;
}

function usableDecay({ tfull_s, range_db, two_slopes }: BandReading, curve: DecayCurve): Decay | null {
  if (tfull_s === null || range_db === null || two_slopes !== null) return null;
  const clear = curve.noise_db === null ? 1 : Math.max(0, (range_db - OVER_NOISE_DB) / range_db);
  const until_s = Math.min(clear * curve.truncation_s, (curve.level_db.length - 1) * curve.step_s);
  return { curve, decay_s: tfull_s, until_s };
}

/** Two stages at one place, each the mean of its repeats: cells wide enough to be independent and to be drawn from the curves. */
function atPlace(before: readonly Decay[], after: readonly Decay[], bandwidth_hz: number): SharedStructure | null {
  if (before.length === 0 || after.length === 0) return null;
  const all = [...before, ...after];
  const until_s = Math.min(...all.map((decay) => decay.until_s));
  const width_s = Math.max(1 / bandwidth_hz, ...all.map(({ curve }) => 2 * curve.step_s));
  const count = Math.floor((until_s - FROM_S) / width_s);
  if (count < LEAST_CELLS) return null;
  const [first, second] = [before, after].map((decays) => meanStructure(decays, { count, width_s })) as [
    Float64Array,
    Float64Array,
  ];
  const scale = Math.sqrt(dot(first, first) * dot(second, second));
  if (!(scale > 0)) return null;
  return { correlation: limited(dot(first, second) / scale), pairs: (count - FITTED) / CELLS_A_PAIR };
}

interface Grid {
  count: number;
  width_s: number;
}

/** Relative energies of the cells about their exponential, mean and slope taken off, averaged over repeats. */
function meanStructure(decays: readonly Decay[], grid: Grid): Float64Array {
  const sum = new Float64Array(grid.count);
  for (const decay of decays) {
    const one = structure(decay, grid);
    for (let i = 0; i < sum.length; i++) sum[i] = sum[i]! + one[i]! / decays.length;
  }
  return sum;
}

function structure({ curve, decay_s }: Decay, { count, width_s }: Grid): Float64Array {
  const values = new Float64Array(count);
  const growth = Math.exp((SIXTY_DB * width_s) / decay_s);
  let before = energyAt(curve, FROM_S);
  let raised = 1;
  let sum = 0;
  for (let i = 0; i < count; i++) {
    const after = energyAt(curve, FROM_S + (i + 1) * width_s);
    values[i] = (before - after) * raised;
    sum += values[i]!;
    before = after;
    raised *= growth;
  }
  for (let i = 0; i < count; i++) values[i] = (values[i]! * count) / sum - 1;
  return withoutLine(values);
}

/** Backward-integrated energy at a time, relative to that at time zero. */
function energyAt({ level_db, step_s }: DecayCurve, time_s: number): number {
  const place = time_s / step_s;
  const index = Math.min(Math.floor(place), level_db.length - 2);
  const here = Math.exp(NEPERS_PER_DB * level_db[index]!);
  return here + (place - index) * (Math.exp(NEPERS_PER_DB * level_db[index + 1]!) - here);
}

/** Values about their least-squares line. */
function withoutLine(values: Float64Array): Float64Array {
  const middle = (values.length - 1) / 2;
  let sum = 0;
  let moment = 0;
  let squares = 0;
  for (let i = 0; i < values.length; i++) {
    sum += values[i]!;
    moment += (i - middle) * values[i]!;
    squares += (i - middle) ** 2;
  }
  return values.map((value, i) => value - sum / values.length - ((i - middle) * moment) / squares);
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}

/** Within the reach of Fisher's z. */
function limited(correlation: number): number {
  return Math.min(0.99, Math.max(-0.99, correlation));
}
