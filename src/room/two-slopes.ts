import type { Cells } from './cells.ts';
import { type DecayModel, LN_MILLION } from './decay-model.ts';
import { type DecayFit, fitDecay, fitWithOrWithoutNoise, scoreOfSecondSlope } from './likelihood.ts';
import type { TwoSlopes } from './reading.ts';

/** Rates of a second slope that are looked for, as multiples of the one-slope rate. */
const SOUGHT = [0.25, 0.5, 0.75, 1.5, 3];
/** The search is left out where no second slope scores this much: far under what the information criterion will ask. */
const SCORE_LEAST = 4;
/** Cells count as decay up to the first that comes so near to the noise. */
const LEVEL_OVER_NOISE = 3;

/**
 * Two slopes fitted to a decay, the faster first, from the second slope that scores best on the one-slope fit.
 *
 * Returns null where none promises anything or the fit does not settle.
 */
export function fitTwoSlopes(cells: Cells, one: DecayFit, bandwidth_hz: number): DecayFit | null {
  const only = one.model.slopes[0]!;
  const tried = SOUGHT.map((multiple) => {
    const rate = multiple * only.rate;
    return { rate, score: scoreOfSecondSlope(cells, one, { rate, bandwidth_hz }) };
  });
  const hopeful = tried.filter(({ score }) => (score?.statistic ?? 0) > SCORE_LEAST);
  hopeful.sort((a, b) => b.score!.statistic - a.score!.statistic);
  if (hopeful.length === 0) return null;
  const starts = hopeful.slice(0, 2).map(({ rate, score }) => [{ ...only }, { amplitude: score!.amplitude, rate }]);
  const ends = slopesOfEnds(cells, one.model, bandwidth_hz);
  if (ends) starts.push(ends);
  let best: DecayFit | null = null;
  for (const slopes of starts) {
    const fit = fitWithOrWithoutNoise(cells, { slopes, noise: one.model.noise }, bandwidth_hz);
    if (fit && (!best || fit.log_likelihood > best.log_likelihood)) best = fit;
  }
  best?.model.slopes.sort((a, b) => b.rate - a.rate);
  return best;
}

/** The first and the last third of the decay, each with the one slope that fits it alone: a start for slopes far apart. */
function slopesOfEnds(cells: Cells, { slopes, noise }: DecayModel, bandwidth_hz: number): DecayModel['slopes'] | null {
  let decaying = 0;
  while (decaying < cells.power.length && cells.power[decaying]! > LEVEL_OVER_NOISE * noise) decaying++;
  const third = Math.floor(decaying / 3);
  if (third < 3) return null;
  const fitted = [0, decaying - third].flatMap((from) => {
    const part = {
      time_s: cells.time_s.subarray(from, from + third),
      width_s: cells.width_s.subarray(from, from + third),
      power: cells.power.subarray(from, from + third),
    };
    return fitDecay(part, { slopes, noise: 0 }, bandwidth_hz)?.model.slopes[0] ?? [];
  });
  return fitted.length === 2 ? fitted : null;
}

/** The two slopes of a fitted model, as they are reported. */
export function describeTwoSlopes({ slopes }: DecayModel): TwoSlopes {
  const [early, late] = slopes as [DecayModel['slopes'][number], DecayModel['slopes'][number]];
  return {
    early_s: LN_MILLION / early.rate,
    late_s: LN_MILLION / late.rate,
    late_level_db: 10 * Math.log10(late.amplitude / early.amplitude),
    crossing_s: Math.log(early.amplitude / late.amplitude) / (early.rate - late.rate),
  };
}
