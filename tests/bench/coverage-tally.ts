import type { Change, StageFinding } from '../../src/statistics/finding.ts';
import { type Scene, STAGES } from './coverage-drawn.ts';

/** Counts over simulated measurements. Bands and stages are counted singly. */
export interface Tally {
  measurements: number;
  /** Stage values, and those whose 95 % interval holds the true decay time. */
  values: number;
  values_held: number;
  /** Changes, and those whose 95 % interval of the percentage holds the true one. */
  changes: number;
  changes_held: number;
  /** Changes and headlines that claim something. */
  claims: number;
  headlines: number;
  headline_claims: number;
}

/** An empty tally. */
export function newTally(): Tally {
  return {
    measurements: 0,
    values: 0,
    values_held: 0,
    changes: 0,
    changes_held: 0,
    claims: 0,
    headlines: 0,
    headline_claims: 0,
  };
}

export interface Outcome {
  scene: Scene;
  quantity: 'tfull_s' | 't20_s' | 't30_s' | 'edt_s';
  stages: readonly StageFinding[];
  change: Change;
  /** Count this band only; default all. */
  centre_hz?: number;
}

/** Adds what one simulated measurement came to. Values that were refused are not counted. */
export function count(tally: Tally, { scene, quantity, stages, change, centre_hz }: Outcome): void {
  const counted = (value: { quantity: string; centre_hz: number | 'mid' }) =>
    value.quantity === quantity && value.centre_hz !== 'mid' && (centre_hz ?? value.centre_hz) === value.centre_hz;
  tally.measurements++;
  stages.forEach((stage) => {
    const truth = scene.decay_s[(STAGES as readonly string[]).indexOf(stage.id)]!;
    for (const value of stage.values.filter(counted)) {
      if (value.value === null) continue;
      tally.values++;
      if (Math.abs(value.value - truth) <= value.expanded_uncertainty!) tally.values_held++;
    }
  });
  const percent = 100 * (scene.decay_s[1] / scene.decay_s[0] - 1);
  for (const value of change.values.filter(counted)) {
    if (value.difference === null) continue;
    tally.changes++;
    if (value.percent_low! <= percent && percent <= value.percent_high!) tally.changes_held++;
    if (value.verdict !== 'no-detectable-change') tally.claims++;
  }
  if (change.headline.verdict !== 'not-measurable') {
    tally.headlines++;
    if (change.headline.verdict !== 'no-detectable-change') tally.headline_claims++;
  }
}
