import type { Cells } from './cells.ts';
import { type DecayModel, decayPower } from './decay-model.ts';
import { type DecayFit, scoreOfAddedTerm } from './likelihood.ts';

/** A group of cells holds at least this shape (bandwidth times time), so that its mean is nearly normal. */
const SHAPE_LEAST = 4;
const GROUPS_MOST = 24;

/** How the cells scatter about a fitted decay. */
export interface Scatter {
  /** Mean square of the standardised residuals of the groups: about 1 for a diffuse decay. */
  dispersion: number;
  groups: number;
}

/**
 * Mean square of the standardised residuals between the measured and the fitted power, over groups of neighbouring cells in
 * the decaying part (before `until_s`). For Gaussian noise under the fitted envelope the residual of a group has the variance
 * 1/(bandwidth time): Pearson's statistic over its degrees of freedom (McCullagh and Nelder, Generalized Linear Models, 2.3,
 * from memory). Sparse reflections, a second sound, a gate or a wrong shape make it larger.
 *
 * Returns dispersion 1 and no groups where the decay is too short to tell.
 */
export function scatterAbout(
  model: DecayModel,
  cells: Cells,
  options: { bandwidth_hz: number; until_s: number },
): Scatter {
  const { bandwidth_hz, until_s } = options;
  let last = 0;
  while (last < cells.time_s.length && cells.time_s[last]! < until_s) last++;
  let whole = 0;
  for (let i = 0; i < last; i++) whole += bandwidth_hz * cells.width_s[i]!;
  const perGroup = Math.max(SHAPE_LEAST, whole / GROUPS_MOST);
  let [sum, groups, residual, shape] = [0, 0, 0, 0];
  for (let i = 0; i < last; i++) {
    const cell = bandwidth_hz * cells.width_s[i]!;
    residual += cell * (cells.power[i]! / (decayPower(model, cells.time_s[i]!) + model.noise) - 1);
    shape += cell;
    if (shape < perGroup * (1 - 1e-9)) continue;
    sum += residual ** 2 / shape;
    groups++;
    residual = 0;
    shape = 0;
  }
  const parameters = 2 * model.slopes.length;
  return groups > parameters ? { dispersion: sum / (groups - parameters), groups } : { dispersion: 1, groups: 0 };
}

/** The dispersion where it is more than chance makes of a diffuse decay (two standard deviations), else 1. */
export function excess({ dispersion, groups }: Scatter): number {
  return groups > 0 && dispersion > 1 + 2 * Math.sqrt(2 / groups) ? dispersion : 1;
}

/** A bend of the decay in log-power, against a one-slope fit. */
export interface Bend {
  /** Rao's score statistic: chi-square with 1 degree of freedom for a straight decay. */
  statistic: number;
  /** Relative change of the decay rate from the middle of the decay to a quarter of it; positive: it falls faster later on. */
  share: number;
}

/**
 * Whether log-power bends along the decay (up to `until_s`): Rao's score test of a quadratic term. A limiter, a gate or an
 * automatic gain bends it so that it falls faster later on, which no sum of decaying exponentials can.
 */
export function bendOf(cells: Cells, fit: DecayFit, options: { bandwidth_hz: number; until_s: number }): Bend {
  const { bandwidth_hz, until_s } = options;
  const only = fit.model.slopes[0]!;
  const centre_s = until_s / 2;
  const added = cells.time_s.map(
    (t) => -(((t - centre_s) / centre_s) ** 2) * decayPower({ slopes: [only], noise: 0 }, t),
  );
  const { score, own, left } = scoreOfAddedTerm(cells, fit, { bandwidth_hz, added });
  if (!(left > 1e-9 * own)) return { statistic: 0, share: 0 };
  // Log-power is -c ((t - m)/m)^2: its slope a quarter from the middle is c/m more.
  return { statistic: (score * score) / left, share: score / left / centre_s / only.rate };
}
