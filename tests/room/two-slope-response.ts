import { cutCells } from '../../src/room/cells.ts';
import { fitStart_s } from '../../src/room/full-range-decay.ts';
import { fitDecay } from '../../src/room/likelihood.ts';
import { decayFromPower, rateOf } from './decay-from-power.ts';
import { type Simulated, simulateResponse } from './simulated-response.ts';

/** Two slopes of which the late one is the larger term from `crossing_db` under the early one's start down to the noise. */
export interface TwoSlopeSetting {
  early_s: number;
  late_s: number;
  /** Depth at which the two terms are equal, below the early one at time zero. */
  crossing_db: number;
  /** The late slope falls by so much from the crossing until it meets the noise. */
  held_db: number;
}

const TAIL_S = 0.4;

/** Levels of the late slope and of the noise, relative to the early slope at time zero. */
function levels({ early_s, late_s, crossing_db, held_db }: TwoSlopeSetting): { late_db: number; range_db: number } {
  return { late_db: -crossing_db * (1 - early_s / late_s), range_db: crossing_db + held_db };
}

/** A response of the setting: Gaussian noise under the two exponentials, in steady noise. */
export function twoSlopeResponse(
  setting: TwoSlopeSetting,
  { seed, rate_hz }: { seed: number; rate_hz: number },
): Simulated {
  const { late_db, range_db } = levels(setting);
  const second = { decay_time_s: setting.late_s, level_db: late_db };
  return simulateResponse({ seed, decay_time_s: setting.early_s, range_db, rate_hz, tail_s: TAIL_S, second });
}

/**
 * What a band of such a response tells of its second slope: twice the difference in log-likelihood between two slopes and the
 * one that comes nearest, for a decay that follows its mean exactly. The likelihood ratio statistic of a drawn decay is about
 * non-central chi-square with this non-centrality and 2 degrees of freedom (Wald, Trans. Amer. Math. Soc. 54 (1943) 426-482, from
 * memory): at 30 it exceeds the 12 that the information criterion asks for 98 times in a hundred, at 20 87 times, at 10 44 times
 * (scipy 1.10.1, scipy.stats.ncx2.sf(12, 2, 30)).
 */
export function expectedDeviance(
  setting: TwoSlopeSetting,
  band: { bandwidth_hz: number; statistical_hz: number },
): number {
  const { early_s, late_s } = setting;
  const { late_db, range_db } = levels(setting);
  const [late, noise] = [10 ** (late_db / 10), 10 ** (-range_db / 10)];
  const end_s = (late_s * range_db) / 60 + TAIL_S;
  const decay = decayFromPower((t) => Math.exp(-rateOf(early_s) * t) + late * Math.exp(-rateOf(late_s) * t) + noise, {
    rate_hz: 24000,
    end_s,
  });
  const cells = cutCells(decay, {
    start_s: fitStart_s(early_s),
    crossing_s: 0.8 * (end_s - TAIL_S),
    end_s,
    bandwidth_hz: band.bandwidth_hz,
    slope_db_s: -60 / early_s,
  });
  const slopes = [
    { amplitude: 1, rate: rateOf(early_s) },
    { amplitude: late, rate: rateOf(late_s) },
  ];
  const two = fitDecay(cells, { slopes, noise }, band.statistical_hz)!;
  const ones = [...slopes, { amplitude: 1, rate: rateOf((early_s + late_s) / 2) }].flatMap((slope) => {
    const fit = fitDecay(cells, { slopes: [slope], noise }, band.statistical_hz);
    return fit?.converged ? fit.log_likelihood : [];
  });
  return 2 * (two.log_likelihood - Math.max(...ones));
}
