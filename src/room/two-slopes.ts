import type { Cells } from './cells.ts';
import { type DecayModel, LN_MILLION } from './decay-model.ts';
import { type DecayFit, fitDecay } from './likelihood.ts';
import type { TwoSlopes } from './reading.ts';

/** Pairs of rates the search starts from, as multiples of the single rate. */
const STARTS: readonly (readonly [number, number])[] = [
  [1.25, 0.6],
  [1.8, 0.75],
  [1.1, 0.3],
];

/** The best fit of two slopes that several starts lead to, the faster slope first; null where none settles. */
export function fitTwoSlopes(cells: Cells, single: DecayModel, bandwidth_hz: number): DecayFit | null {
  const { amplitude, rate } = single.slopes[0]!;
  let best: DecayFit | null = null;
  const end_s = cells.time_s[cells.time_s.length - 1]!;
  const fallen = single.noise > 0 ? Math.log(Math.max(10, amplitude / single.noise)) : rate * end_s;
  for (const [fast, slow] of STARTS) {
    // The two meet half way down the decay.
    const meeting_s = (0.5 * fallen) / rate;
    const start: DecayModel = {
      slopes: [
        { amplitude: amplitude * Math.exp(meeting_s * rate * (fast - 1)), rate: rate * fast },
        { amplitude: amplitude * Math.exp(meeting_s * rate * (slow - 1)), rate: rate * slow },
      ],
      noise: single.noise,
    };
    const fit = fitDecay(cells, start, bandwidth_hz);
    if (fit?.converged && (!best || fit.log_likelihood > best.log_likelihood)) best = fit;
  }
  if (best) best.model.slopes.sort((a, b) => b.rate - a.rate);
  return best;
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
