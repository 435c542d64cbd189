import { powerToDb } from '../signal/decibels.ts';
import { type BandDecay, meanPower, usableEnd_s } from './band-decay.ts';
import { type Cells, cutCells } from './cells.ts';
import { type DecayFit, type DecayModel, fitDecay } from './likelihood.ts';
import type { TwoSlopes } from './reading.ts';
import type { Truncation } from './truncation.ts';
import { describeTwoSlopes, fitTwoSlopes, LN_MILLION } from './two-slopes.ts';

/** What the fit of the whole decay says of a band. */
export interface FullRangeDecay {
  time_s: number;
  standard_error_s: number;
  /** Level of the fitted decay at time zero over the noise, or over what is left where the samples end. */
  range_db: number;
  /** Decay of the fitted model past any time: power and rate. */
  model: DecayModel;
  two_slopes: TwoSlopes | null;
  /** Whether one slope with steady noise describes the decay. */
  fits: boolean;
  /** Mean square of the standardised residuals over groups of cells; about 1 for a diffuse decay. */
  misfit: number;
}

/** The direct sound has passed by then: the first 5 ms. */
const DIRECT_S = 0.005;
const START_MOST_S = 0.02;
const START_SHARE = 0.1;

/** Where the fit starts: 20 ms or a tenth of the decay time, whichever is earlier, never before the direct sound has passed. */
export function fitStart_s(decay_time_s: number): number {
  return Math.max(DIRECT_S, Math.min(START_MOST_S, START_SHARE * decay_time_s));
}

function powerAt({ slopes }: DecayModel, time_s: number): number {
  return slopes.reduce((sum, { amplitude, rate }) => sum + amplitude * Math.exp(-rate * time_s), 0);
}

export function rangeOf(model: DecayModel, end_s: number): number {
  return powerToDb(powerAt(model, 0) / Math.max(model.noise, powerAt(model, end_s)));
}

/** One slope with noise, or without where the samples hold none or the likelihood does not ask for it. */
function fitOne(cells: Cells, start: DecayModel, bandwidth_hz: number): DecayFit | null {
  const noisy = start.noise > 0 ? fitDecay(cells, start, bandwidth_hz) : null;
  return noisy?.converged ? noisy : fitDecay(cells, { ...start, noise: 0 }, bandwidth_hz);
}

export function fitFullRange(
  decay: BandDecay,
  truncation: Truncation,
  options: { decay_time_s: number; bandwidth_hz: number; statistical_hz: number },
): FullRangeDecay | null {
  const { decay_time_s, bandwidth_hz, statistical_hz } = options;
  const end_s = usableEnd_s(decay);
  const start_s = fitStart_s(decay_time_s);
  const cells = cutCells(decay, {
    start_s,
    crossing_s: truncation.time_s,
    end_s,
    bandwidth_hz,
    slope_db_s: -60 / decay_time_s,
  });
  if (cells.power.length < 5 || cells.power.some((power) => !(power > 0))) return null;
  const rate = LN_MILLION / decay_time_s;
  const reach_s = Math.min(end_s, start_s + decay_time_s / 6);
  const amplitude =
    (meanPower(decay, start_s, reach_s) * rate * (reach_s - start_s)) /
    (Math.exp(-rate * start_s) - Math.exp(-rate * reach_s));
  const one = fitOne(
    cells,
    { slopes: [{ amplitude, rate }], noise: truncation.noise || meanPower(decay, 0.9 * end_s, end_s) / 2 },
    statistical_hz,
  );
  if (!one?.converged) return null;
  const time_s = LN_MILLION / one.model.slopes[0]!.rate;
  const two = fitTwoSlopes(cells, one.model, statistical_hz);
  const gain = two ? two.log_likelihood - one.log_likelihood : 0;
  const threshold = Math.max(9.2, 2 * Math.log(statistical_hz * truncation.time_s)) / 2;
  const two_slopes = two && gain > threshold ? describeTwoSlopes(two.model) : null;
  return {
    time_s,
    standard_error_s: time_s * Math.sqrt(one.covariance[one.size + 1]!),
    range_db: rangeOf(two_slopes ? two!.model : one.model, end_s),
    model: two_slopes ? two!.model : one.model,
    two_slopes,
    fits: !two_slopes,
    misfit: 1,
  };
}
