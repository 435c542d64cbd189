import { seededRandom } from '../../projects/synthesis/random.ts';
import { cutCells } from '../../src/room/cells.ts';
import { type DecayModel, decayPower } from '../../src/room/decay-model.ts';
import { fitStart_s } from '../../src/room/full-range-decay.ts';
import { fitDecay } from '../../src/room/likelihood.ts';
import { decayFromPower, rateOf } from './decay-from-power.ts';
import { levelsOf, SLOPE_TAIL_S, type TwoSlopeSetting } from './two-slope-response.ts';

/**
 * What a band of a two-slope decay can tell at best. `deviance`: twice the difference in log-likelihood between the two slopes and
 * the one slope that comes nearest, for a decay that follows its mean exactly. `power`: how often the likelihood ratio of these two,
 * both fully known, finds the second slope when it takes `false_share` of decays of that one slope for two. No test that keeps
 * to this share finds more (Neyman and Pearson, Phil. Trans. A 231 (1933) 289-337); one that must find the slopes itself finds less.
 *
 * Drawn from gamma energies of the cells, seeded; without draws there is no power.
 */
export function clairvoyant(
  setting: TwoSlopeSetting,
  options: { bandwidth_hz: number; statistical_hz: number; false_share: number; draws?: number },
): { deviance: number; power: number } {
  const { early_s, late_s } = setting;
  const { bandwidth_hz, statistical_hz, false_share, draws = 2000 } = options;
  const { late_db, range_db } = levelsOf(setting);
  const end_s = (late_s * range_db) / 60 + SLOPE_TAIL_S;
  const two: DecayModel = {
    slopes: [
      { amplitude: 1, rate: rateOf(early_s) },
      { amplitude: 10 ** (late_db / 10), rate: rateOf(late_s) },
    ],
    noise: 10 ** (-range_db / 10),
  };
  const mean = (model: DecayModel, t: number) => decayPower(model, t) + model.noise;
  const decay = decayFromPower((t) => mean(two, t), { rate_hz: 24000, end_s });
  const start_s = fitStart_s(early_s);
  const crossing_s = 0.8 * (end_s - SLOPE_TAIL_S);
  const cells = cutCells(decay, { start_s, crossing_s, end_s, bandwidth_hz, slope_db_s: -60 / early_s });
  const starts = [...two.slopes, { amplitude: 1, rate: rateOf((early_s + late_s) / 2) }];
  const ones = starts.flatMap((slope) => {
    const fit = fitDecay(cells, { slopes: [slope], noise: two.noise }, statistical_hz);
    return fit?.converged ? fit : [];
  });
  const one = ones.sort((a, b) => b.log_likelihood - a.log_likelihood)[0]!;
  const best = fitDecay(cells, two, statistical_hz)!;
  const deviance = 2 * (best.log_likelihood - one.log_likelihood);
  const shapes = cells.width_s.map((width_s) => statistical_hz * width_s);
  const means = [one.model, best.model].map((model) => cells.time_s.map((t) => mean(model, t)));
  const random = seededRandom(`${early_s} ${late_s} ${setting.crossing_db} ${statistical_hz}`);
  const ratios = means.map((drawn) => {
    const gain = (power: number, i: number) => power / means[0]![i]! - power / means[1]![i]!;
    return Float64Array.from({ length: draws }, () =>
      shapes.reduce((sum, shape, i) => sum + shape * gain((drawn[i]! * gamma(random, shape)) / shape, i), 0),
    ).sort();
  }) as [Float64Array, Float64Array];
  if (draws === 0) return { deviance, power: Number.NaN };
  const threshold = ratios[0][Math.ceil(draws * (1 - false_share)) - 1]!;
  return { deviance, power: ratios[1].filter((ratio) => ratio > threshold).length / draws };
}

/** A gamma number of the given shape, 1 or more, and scale 1: Marsaglia and Tsang, ACM Trans. Math. Softw. 26 (2000) 363-372. */
function gamma(random: { uniform(): number; normal(): number }, shape: number): number {
  const d = shape - 1 / 3;
  for (;;) {
    const x = random.normal();
    const v = (1 + x / Math.sqrt(9 * d)) ** 3;
    if (v > 0 && Math.log(1 - random.uniform()) < (x * x) / 2 + d - d * v + d * Math.log(v)) return d * v;
  }
}
