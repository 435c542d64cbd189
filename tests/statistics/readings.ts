import type { BandQuantity, BandReading } from '../../src/room/reading.ts';
import { compareStages, type ReadingAt } from '../../src/statistics/compare-stages.ts';
import { bandReading, drawReadings, type Scene } from '../bench/coverage-drawn.ts';
import { SeededRandom } from '../bench/coverage-random.ts';

export const SCENE: Scene = {
  bands_hz: [125, 250, 500, 1000, 2000, 4000],
  decay_s: [0.3, 0.24],
  positions: 3,
  claps: 3,
  range_db: 50,
  overdispersion: 1.2,
  correlation: 0.3,
};

/** Readings of a simulated measurement; before and after differ as SCENE says unless told otherwise. */
export function readingsOf(change: Partial<Scene> = {}, seed = 1): ReadingAt[] {
  return drawReadings({ ...SCENE, ...change }, new SeededRandom(seed));
}

/** One reading of one octave. */
export function reading(
  place: { stage?: string; position?: string; take?: string },
  band: Partial<BandReading> & { centre_hz: number },
): ReadingAt {
  return { stage: 'before', position: 'A', take: '1', ...place, bands: [bandReading(band)] };
}

/** The comparison of `before` with `after`. */
export function compared(
  readings: readonly ReadingAt[],
  stages: { temperature_c?: number; humidity_percent?: number }[] = [{}, {}],
) {
  const { stages: found, changes } = compareStages({
    stages: ['before', 'after'].map((id, i) => ({ id, temperature_c: null, humidity_percent: null, ...stages[i] })),
    readings,
    pairs: [['before', 'after']],
  });
  return { before: found[0]!, after: found[1]!, change: changes[0]! };
}

/** The value of one quantity and band in a list of them. */
export function pick<T extends { quantity: BandQuantity; centre_hz: number | 'mid' }>(
  values: readonly T[],
  quantity: BandQuantity,
  centre_hz: number | 'mid',
): T {
  return values.find((value) => value.quantity === quantity && value.centre_hz === centre_hz)!;
}
