import { type BandDecay, meanPower, usableEnd_s } from './band-decay.ts';
import { type Cells, cutCells } from './cells.ts';
import { type DecayModel, decayEnergy, decayPower, LN_MILLION, rangeOf, timeAtPower } from './decay-model.ts';
import { bendOf, excess, scatterAbout } from './fit-check.ts';
import { type DecayFit, fitDecay, fitWithOrWithoutNoise } from './likelihood.ts';
import type { TwoSlopes } from './reading.ts';
import { decayLine } from './schroeder.ts';
import { describeTwoSlopes, fitTwoSlopes } from './two-slopes.ts';

/** What the fit of the whole decay says of a band. */
export interface FullRangeDecay {
  /** Decay time of the one-slope fit, and its standard error. */
  time_s: number;
  standard_error_s: number;
  /** The model that describes the decay: one slope, or two where these are found. */
  model: DecayModel;
  /** Level of the fitted decay at time zero over the noise, or over what is left where the samples end. */
  range_db: number;
  /** Set where two slopes are found, also where the one-slope time may be given beside them. */
  two_slopes: TwoSlopes | null;
  /** Why the one-slope time must not be given; null: it may. */
  verdict: 'two-slopes' | 'misfit' | null;
  /** Depth in dB that the one-slope fit was cut to, because a slower slope takes over below; null: the whole decay. */
  cut_at_db: number | null;
  /** Scatter about the model as a multiple of that of a diffuse decay, where it is more than chance. */
  dispersion: number;
}

/** The direct sound has passed by then: the first 5 ms. */
const DIRECT_S = 0.005;
const START_MOST_S = 0.02;
const START_SHARE = 0.1;
/** Shares of the rough decay time that the first fit starts from, in turn. */
const FASTER = [1, 0.5, 0.25];
/**
 * Twice the gain in log-likelihood that a second slope must bring. No table gives its law: a slope that is not there has no rate
 * (Davies, Biometrika 64 (1977) 247-254, from memory). By simulation 6.5 is passed by 0.5 to 2 % of one-slope decays, whatever the
 * bandwidth, decay time and range; the chi-square of 2 degrees of freedom would have it 5.
 */
const SECOND_SLOPE_GAIN_LEAST = 6.5;
/** A bend must score so much: chi-square, 1 degree of freedom, 0.25 %. */
const BEND_LEAST = 9.21;
/** A second slope matters when it moves the one-slope time by more than the just noticeable 5 % (ISO 3382-1:2009, Table A.1). */
const DEPARTURE_MOST = 0.05;
/**
 * A second slope holds when it governs so much of the decay above the noise, in dB: a factor of two. Where it truly governs
 * 10 dB, its fit says 4 to 20 dB by chance, seldom less than 3 (simulated).
 */
const HELD_DB = 3;
/** A late slope that takes over this far down leaves the time of the early one valid. */
const DEEP_DB = 45;
/** The fit is carried back to time zero by no more than this: a faster decay is over before the direct sound is. */
const EXTRAPOLATED_MOST_DB = 12;
/** A decay time known no better than this, relative, tells nothing. */
const STANDARD_ERROR_MOST = 0.35;
/** Cells of the noise wider than this share of the decay are too wide to show a late slope. */
const WIDE_SHARE = 0.1;
/** Scatter, as a multiple of a diffuse decay's, from which on the model is wrong: a second sound, a gate, a flutter. */
const DISPERSION_MOST = 8;

/** Where the fit starts: 20 ms or a tenth of the decay time, whichever is earlier, never before the direct sound has passed. */
export function fitStart_s(decay_time_s: number): number {
  return Math.max(DIRECT_S, Math.min(START_MOST_S, START_SHARE * decay_time_s));
}

interface Rough {
  decay_time_s: number;
  crossing_s: number;
  noise: number;
}

/** Exponential of a given decay time through the power measured over its first 10 dB. */
function roughModel(decay: BandDecay, start_s: number, { decay_time_s, noise }: Rough): DecayModel {
  const rate = LN_MILLION / decay_time_s;
  const to_s = start_s + decay_time_s / 6;
  const share = (Math.exp(-rate * start_s) - Math.exp(-rate * to_s)) / (rate * (to_s - start_s));
  return { slopes: [{ amplitude: meanPower(decay, start_s, to_s) / share, rate }], noise };
}

/** Starts for the first fit: the rough decay, and faster ones, since a slow decay can take the place of the noise. */
function startsFor(decay: BandDecay, start_s: number, rough: Rough): DecayModel[] {
  return FASTER.map((share) => roughModel(decay, start_s, { ...rough, decay_time_s: share * rough.decay_time_s }));
}

/** The fit from the first start that settles on steady noise, unless one without noise before it is more likely. */
function bestFit(cells: Cells, starts: readonly DecayModel[], statistical_hz: number): DecayFit | null {
  let bare: DecayFit | null = null;
  for (const start of starts) {
    const fit = fitWithOrWithoutNoise(cells, start, statistical_hz);
    if (!fit) continue;
    if (!bare || fit.log_likelihood >= bare.log_likelihood) bare = fit;
    if (fit.model.noise > 0) return bare;
  }
  return bare;
}

interface OneSlope {
  fit: DecayFit;
  cells: Cells;
  start_s: number;
  time_s: number;
  crossing_s: number;
}

/** Cells cut to suit a rough decay, and the one-slope fit to them; cut anew where the fit moves them much. */
function fitOneSlope(
  decay: BandDecay,
  rough: Rough,
  options: { bandwidth_hz: number; statistical_hz: number },
): OneSlope | null {
  const end_s = usableEnd_s(decay);
  let now = rough;
  let found: OneSlope | null = null;
  for (let pass = 0; pass < 3; pass++) {
    const start_s = fitStart_s(now.decay_time_s);
    const slope_db_s = -60 / now.decay_time_s;
    const cells = cutCells(decay, {
      start_s,
      crossing_s: now.crossing_s,
      end_s,
      slope_db_s,
      bandwidth_hz: options.bandwidth_hz,
    });
    if (cells.power.length < 5 || cells.power.some((power) => !(power > 0))) return found;
    const fit = bestFit(cells, found ? [found.fit.model] : startsFor(decay, start_s, now), options.statistical_hz);
    if (!fit) return found;
    const time_s = LN_MILLION / fit.model.slopes[0]!.rate;
    if ((60 * start_s) / time_s > EXTRAPOLATED_MOST_DB) return found;
    const crossing_s = fit.model.noise > 0 ? Math.min(end_s, timeAtPower(fit.model, fit.model.noise)) : end_s;
    found = { fit, cells, start_s, time_s, crossing_s };
    const moved = Math.max(
      Math.abs(Math.log(time_s / now.decay_time_s)),
      Math.abs(Math.log(crossing_s / now.crossing_s)),
    );
    if (moved < 0.1) break;
    now = { decay_time_s: time_s, crossing_s, noise: fit.model.noise };
  }
  return found;
}

/**
 * The cells in which a second slope is looked for, with the one-slope fit to them. After a long quiet the few cells of the noise
 * are so wide that a late slope blurs in the first of them; growing ones then take their place.
 */
function forSearch(
  decay: BandDecay,
  one: OneSlope,
  options: { bandwidth_hz: number; statistical_hz: number },
): { cells: Cells; fit: DecayFit } {
  const end_s = usableEnd_s(decay);
  const { start_s, crossing_s, time_s } = one;
  if (one.cells.width_s.at(-1)! < WIDE_SHARE * (crossing_s - start_s)) return one;
  const cells = cutCells(decay, {
    start_s,
    crossing_s,
    end_s,
    bandwidth_hz: options.bandwidth_hz,
    slope_db_s: -60 / time_s,
    noise: 'growing',
  });
  const fit = fitWithOrWithoutNoise(cells, one.fit.model, options.statistical_hz);
  return fit ? { cells, fit } : one;
}

/**
 * Full-range decay time of a band by maximum likelihood, its standard error from the Fisher information, and whether one slope
 * describes the decay.
 *
 * The fit runs from 20 ms, or a tenth of the decay time, into the noise. Two slopes are found where they raise the likelihood
 * by more than chance makes of one (twice the gain in its logarithm 6.5 or more: 0.5 to 2 % of one-slope decays), after the
 * scatter about the better model is allowed for, and the second governs 3 dB over the noise or more. The one-slope time is
 * refused where they move it by more than 5 % from what their own T20 or T30 would read. A smaller departure widens its standard
 * error by the half-width over the square root of three (JCGM 100:2008, 4.3.7), and both slopes are reported beside it.
 *
 * Measured over simulated diffuse decays of 0.08 to 3 s (npm run bench:accuracy, 30 draws a setting): with B*T of 50 and more and
 * 35 to 70 dB of range the spread is 1.00 to 1.03 of the Cramer-Rao bound, the bias under 0.4 %, the stated standard error within
 * 2 % of the spread, and 0.9 % of single slopes are taken for two. With B*T from 20 to 50 the spread is up to 1.16 of the bound, under
 * 20 up to 1.4, the standard error within 14 % of the spread (6 % from B*T = 8 up at 35 dB and more): cells few, not wrong.
 *
 * Real decays bend a little (rooms are not diffuse): over 70 dB a time then comes out longer than over 35 dB, by some per cent.
 *
 * Returns null where no decay can be fitted.
 */
export function fitFullRange(
  decay: BandDecay,
  rough: Rough,
  options: { bandwidth_hz: number; statistical_hz: number },
): FullRangeDecay | null {
  const one = fitOneSlope(decay, rough, options);
  if (!one || !(one.fit.covariance[one.fit.size + 1]! < STANDARD_ERROR_MOST ** 2)) return null;
  const { statistical_hz } = options;
  const end_s = usableEnd_s(decay);
  const sought = forSearch(decay, one, options);
  const two = fitTwoSlopes(sought.cells, sought.fit, statistical_hz);
  const better = two && two.log_likelihood > sought.fit.log_likelihood ? two : sought.fit;
  const scatter = scatterAbout(better.model, one.cells, { bandwidth_hz: statistical_hz, until_s: one.crossing_s });
  const dispersion = excess(scatter);
  const gain = (2 * (better.log_likelihood - sought.fit.log_likelihood)) / dispersion;
  const bend = bendOf(one.cells, one.fit, { bandwidth_hz: statistical_hz, until_s: one.crossing_s });
  const bends = bend.share > DEPARTURE_MOST && bend.statistic > BEND_LEAST;
  const plain: FullRangeDecay = {
    time_s: one.time_s,
    standard_error_s: one.time_s * Math.sqrt(dispersion * one.fit.covariance[one.fit.size + 1]!),
    model: one.fit.model,
    range_db: rangeOf(one.fit.model, end_s),
    two_slopes: null,
    verdict: dispersion > DISPERSION_MOST || bends ? 'misfit' : null,
    cut_at_db: null,
    dispersion,
  };
  if (plain.verdict || better !== two || gain < SECOND_SLOPE_GAIN_LEAST) return plain;
  const range_db = rangeOf(two.model, end_s);
  const departure = departureOf(one.time_s, two.model, range_db);
  if (departure <= DEPARTURE_MOST) {
    const widened = Math.hypot(plain.standard_error_s, (departure * one.time_s) / Math.sqrt(3));
    const beside = { ...plain, standard_error_s: widened };
    if (heldOf(two.model, end_s) < HELD_DB) return beside;
    return { ...beside, model: two.model, range_db, two_slopes: describeTwoSlopes(two.model) };
  }
  return withTwoSlopes(plain, { decay, one, model: two.model, range_db, statistical_hz });
}

/** Largest relative difference between a one-slope time and what T20 (and T30, where the range allows) reads off a model. */
function departureOf(time_s: number, model: DecayModel, range_db: number): number {
  const whole = decayEnergy(model, 0);
  const step_s = time_s / 200;
  const levels: number[] = [];
  for (let i = 0; i < 2000; i++) {
    levels.push(10 * Math.log10(decayEnergy(model, i * step_s) / whole));
    if (levels[i]! < -40) break;
  }
  const curve = { step_s, whole, level_db: Float64Array.from(levels) };
  const depths = range_db >= 45 ? [-25, -35] : [-25];
  const times = depths.map((to_db) => decayLine(curve, { from_db: -5, to_db })?.time_s ?? time_s);
  return Math.max(...times.map((other) => Math.abs(time_s / other - 1)));
}

/** Fall in dB over which the slower of two slopes is the larger term and stands over the noise. */
function heldOf(model: DecayModel, end_s: number): number {
  const { crossing_s, late_s } = describeTwoSlopes(model);
  const met_s = model.noise > 0 ? Math.min(end_s, timeAtPower(model, model.noise)) : end_s;
  return (60 * (met_s - Math.max(0, crossing_s))) / late_s;
}

function withTwoSlopes(
  plain: FullRangeDecay,
  found: { decay: BandDecay; one: OneSlope; model: DecayModel; range_db: number; statistical_hz: number },
): FullRangeDecay {
  const { one, model, range_db, statistical_hz, decay } = found;
  const two_slopes = describeTwoSlopes(model);
  const crossing_db = 10 * Math.log10(decayPower(model, 0) / decayPower(model, two_slopes.crossing_s));
  const end_s = usableEnd_s(decay);
  const held = heldOf(model, end_s) >= HELD_DB;
  // A nearly level "slope" in place of the noise is the noise.
  if (!held && model.noise === 0 && plain.model.noise > 0) return plain;
  const refused: FullRangeDecay = {
    ...plain,
    model,
    range_db,
    two_slopes: held ? two_slopes : null,
    verdict: held ? 'two-slopes' : 'misfit',
  };
  if (crossing_db < DEEP_DB) return refused;
  const early = fitAbove(one, two_slopes, statistical_hz);
  if (!early) return refused;
  return {
    ...refused,
    time_s: LN_MILLION / early.model.slopes[0]!.rate,
    standard_error_s:
      (LN_MILLION / early.model.slopes[0]!.rate) * Math.sqrt(plain.dispersion * early.covariance[early.size + 1]!),
    range_db: rangeOf(model, end_s),
    verdict: null,
    cut_at_db: Math.round(crossing_db),
  };
}

/** One slope fitted to the cells above the crossing alone, less 5 dB, where the slower slope adds a third or less. */
function fitAbove(one: OneSlope, two: TwoSlopes, statistical_hz: number): DecayFit | null {
  const until_s = two.crossing_s - (5 / 60) * two.early_s;
  const { cells } = one;
  let count = 0;
  while (count < cells.time_s.length && cells.time_s[count]! + cells.width_s[count]! / 2 < until_s) count++;
  if (count < 5) return null;
  const above = {
    time_s: cells.time_s.subarray(0, count),
    width_s: cells.width_s.subarray(0, count),
    power: cells.power.subarray(0, count),
  };
  const fit = fitDecay(above, { slopes: one.fit.model.slopes, noise: 0 }, statistical_hz);
  return fit?.converged ? fit : null;
}
