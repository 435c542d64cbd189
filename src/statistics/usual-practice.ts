import { STATISTICAL_BANDWIDTH } from './spread-floor.ts';
import { twoSidedProbability } from './student-t.ts';

/** Relative spread of one T20 over places, times the root of statistical bandwidth and decay time (own simulation, ideal decays). */
const T20_SPREAD = 0.89;

/**
 * How often the usual practice claims a change where nothing changed but the places of the field: one T20 before, one after, and
 * any difference over `least_percent` believed. A share from 0 to 1, for ideal decays without overdispersion or noise, so at the
 * least. The coverage bench counts the same on simulated recordings.
 */
export function falseClaimsOfUsualPractice(options: {
  decay_s: number;
  bandwidth_hz: number;
  least_percent: number;
}): number {
  const spread = T20_SPREAD / Math.sqrt(STATISTICAL_BANDWIDTH * options.bandwidth_hz * options.decay_s);
  return twoSidedProbability(Math.log1p(options.least_percent / 100) / (Math.SQRT2 * spread), null);
}
