import { expectedSquare, type SpreadSeen } from './place-variance.ts';
import { likelihoodOfShared, type SharedStructure } from './shared-structure.ts';
import type { FloorKind } from './spread-floor.ts';

/**
 * How far the spread over places exceeds its theoretical floor, and how much of it two stages share.
 *
 * Neither is known. Two or three positions give a handful of degrees of freedom, so the estimate alone would be worthless; the
 * floor alone would claim too much. So every pair (overdispersion, correlation) on a grid is weighed by how well it explains the
 * spreads seen in neighbouring bands, by what the decays themselves show the stages to share, and by what was thought of it before,
 * and the variance wanted is averaged over them.
 * Its mean and its doubt give a scale and degrees of freedom for Student's t, as JCGM 100:2008, G.4.2, does for a judged
 * uncertainty: for a variance drawn from a scaled inverse chi-square law with m degrees of freedom, 2 mean^2 / variance = m - 4.
 *
 * Thought beforehand (an assumption, no published source): an overdispersion near 1 is likeliest, one of 1.42 half as likely, and
 * beyond that it falls off as the inverse fourth power; stages are taken as uncorrelated with weight 0.6, the rest spread evenly up
 * to 0.9, so that a correlation shortens an interval only where the data insist on it. The floor of T20 and T30 is a fifth wider
 * than ideal decays ask for, so less is thought to exceed it: half as likely at 1.16, and weight 0.5 on no correlation. Chosen on
 * simulated measurements so that the 95 % interval covers at every number of positions, and still about 93 % of the time where
 * the overdispersion is 1.5 throughout and the stages share nothing; the coverage bench counts on others.
 */

export interface SpreadWanted {
  seen: readonly SpreadSeen[];
  /** The variance wanted, for an overdispersion and a correlation. */
  wanted: (squared_overdispersion: number, correlation: number) => number;
  /** False holds the correlation at 0. */
  correlation_may_count: boolean;
  /** What the decays themselves show of the correlation. */
  shared?: SharedStructure | null;
  /** Whether the floor is the least there can be, or ISO 3382-2's for T20 and T30, itself too wide; default `least`. */
  floor?: FloorKind;
}

export interface SpreadFound {
  /** Scale of the t distribution, squared. */
  variance: number;
  /** null: as good as infinitely many. */
  dof: number | null;
  /** Root mean square overdispersion, and mean correlation, given what was seen. */
  overdispersion: number;
  correlation: number;
}

const THOUGHT: Record<FloorKind, Thought> = {
  least: { half_weight_beyond_1: 0.42, uncorrelated_weight: 0.6 },
  standard: { half_weight_beyond_1: 0.16, uncorrelated_weight: 0.5 },
};
const LARGEST_OVERDISPERSION = 8;
const OVERDISPERSION_STEPS = 30;
/** So many variances multiplied stay far from the ends of what a number holds. */
const FACTORS = 8;
const CORRELATIONS = Array.from({ length: 10 }, (_, i) => i / 10);

interface Thought {
  half_weight_beyond_1: number;
  uncorrelated_weight: number;
}

interface Node {
  squared_overdispersion: number;
  correlation: number;
  log_weight: number;
}

/** Nodes of one correlation after the other for each overdispersion. */
interface Grid {
  correlations: readonly number[];
  nodes: readonly Node[];
}

const UNCORRELATED = { least: gridOf(THOUGHT.least, [0]), standard: gridOf(THOUGHT.standard, [0]) };
const ALL = { least: gridOf(THOUGHT.least, CORRELATIONS), standard: gridOf(THOUGHT.standard, CORRELATIONS) };

/** The variance wanted, averaged over overdispersion and correlation as the spreads seen make them likely. Same unit squared as `wanted`. */
export function weighSpread({
  seen,
  wanted,
  correlation_may_count,
  shared = null,
  floor = 'least',
}: SpreadWanted): SpreadFound {
  const grid = (correlation_may_count ? ALL : UNCORRELATED)[floor];
  const { nodes } = grid;
  const logs = logLikelihoods(seen, grid);
  const of_shared = grid.correlations.map((one) => (shared === null ? 0 : likelihoodOfShared(shared, one)));
  for (let i = 0; i < nodes.length; i++) logs[i]! += nodes[i]!.log_weight + of_shared[i % of_shared.length]!;
  const largest = logs.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY);
  let total = 0;
  let mean = 0;
  let mean_square = 0;
  let squared_overdispersion = 0;
  let correlation = 0;
  for (let i = 0; i < nodes.length; i++) {
    const node = nodes[i]!;
    const weight = Math.exp(logs[i]! - largest);
    const variance = wanted(node.squared_overdispersion, node.correlation);
    total += weight;
    mean += weight * variance;
    mean_square += weight * variance ** 2;
    squared_overdispersion += weight * node.squared_overdispersion;
    correlation += weight * node.correlation;
  }
  mean /= total;
  const doubt = mean_square / total - mean ** 2;
  const dof = doubt > 1e-9 * mean ** 2 ? (2 * mean ** 2) / doubt + 4 : null;
  return {
    variance: dof === null ? mean : (mean * (dof - 2)) / dof,
    dof,
    overdispersion: Math.sqrt(squared_overdispersion / total),
    correlation: correlation / total,
  };
}

/**
 * Logarithms of the likelihood of what was seen at every node. A comparison asks for this some thousand times, with dozens of
 * spreads each: so what a correlation changes is worked out once for each overdispersion, and logarithms are taken of products.
 */
function logLikelihoods(seen: readonly SpreadSeen[], { correlations, nodes }: Grid): Float64Array {
  const logs = new Float64Array(nodes.length);
  const products = new Float64Array(correlations.length);
  for (let first = 0; first < nodes.length; first += correlations.length) {
    const { squared_overdispersion } = nodes[first]!;
    let alike = 0;
    for (let k = 0; k < seen.length; k++) {
      const one = seen[k]!;
      const { mean_square, dof } = one;
      const apart = expectedSquare(one, squared_overdispersion, 0);
      // It is linear in the correlation, as a variance of differences is.
      const shared = correlations.length === 1 ? 0 : expectedSquare(one, squared_overdispersion, 1) - apart;
      for (let i = 0; i < products.length; i++) {
        const scale = apart + correlations[i]! * shared;
        logs[first + i]! -= (dof / 2) * (mean_square / scale);
        products[i] = alike === 0 ? scale : products[i]! * scale;
      }
      alike++;
      if (alike < FACTORS && seen[k + 1]?.dof === dof) continue;
      for (let i = 0; i < products.length; i++) logs[first + i]! -= (dof / 2) * Math.log(products[i]!);
      alike = 0;
    }
  }
  return logs;
}

function gridOf({ half_weight_beyond_1, uncorrelated_weight }: Thought, correlations: readonly number[]): Grid {
  const nodes: Node[] = [];
  for (let step = 0; step < OVERDISPERSION_STEPS; step++) {
    const overdispersion = LARGEST_OVERDISPERSION ** (step / (OVERDISPERSION_STEPS - 1));
    const density = overdispersion / (1 + ((overdispersion - 1) / half_weight_beyond_1) ** 4);
    for (const correlation of correlations) {
      const share =
        correlations.length === 1
          ? 1
          : (correlation === 0 ? uncorrelated_weight : 0) + (1 - uncorrelated_weight) / correlations.length;
      nodes.push({
        squared_overdispersion: overdispersion ** 2,
        correlation,
        log_weight: Math.log(density * share),
      });
    }
  }
  return { correlations, nodes };
}
