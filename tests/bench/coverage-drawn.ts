import type { BandReading } from '../../src/room/reading.ts';
import type { ReadingAt } from '../../src/statistics/compare-stages.ts';
import { noiseShare } from '../../src/statistics/noise-share.ts';
import { bandwidthHz, fullRangeVariance } from '../../src/statistics/spread-floor.ts';
import type { SeededRandom } from './coverage-random.ts';

/** A measurement whose truth is known: what the room does and how it is measured. */
export interface Scene {
  bands_hz: readonly number[];
  /** True decay time of each stage, the same in every band. */
  decay_s: readonly [before: number, after: number];
  positions: number;
  claps: number;
  range_db: number;
  /** Spread of a reading over places, over what theory gives as its least. */
  overdispersion: number;
  /** Correlation of the two stages' fine structure at one place. */
  correlation: number;
  /** Leaves T20 out of drawn readings, where only the full-range time is asked about: half the time. */
  full_range_only?: boolean;
}

/** The two stages' names in every simulated measurement. */
export const STAGES = ['before', 'after'] as const;

/**
 * Draws the readings of a whole measurement straight from their theoretical distribution: ln(T) normal over places with the
 * Fisher variance times the squared overdispersion, the noise's share of it anew for each clap. T20 with 0.81 / sqrt(B T),
 * noise-free, the true decay of the place included.
 */
export function drawReadings(scene: Scene, random: SeededRandom): ReadingAt[] {
  const readings: ReadingAt[] = [];
  for (let position = 0; position < scene.positions; position++) {
    const takes = STAGES.map(() => Array.from({ length: scene.claps }, (): BandReading[] => []));
    for (const centre_hz of scene.bands_hz) {
      const shared = [random.normal(), random.normal()];
      STAGES.forEach((_, stage) => {
        const decay_s = scene.decay_s[stage]!;
        const bandwidth_hz = bandwidthHz('octave', centre_hz);
        const fisher = fullRangeVariance({ decay_s, bandwidth_hz, range_db: scene.range_db });
        const share = noiseShare(scene.range_db);
        const own = shared.map(
          (common) => Math.sqrt(scene.correlation) * common + Math.sqrt(1 - scene.correlation) * random.normal(),
        );
        const place = own[0]! * Math.sqrt(fisher * (scene.overdispersion ** 2 - share));
        const place_t20 = own[1]! * (0.81 / Math.sqrt(bandwidth_hz * decay_s));
        for (const take of takes[stage]!) {
          const tfull_s = decay_s * Math.exp(place + random.normal() * Math.sqrt(fisher * share));
          take.push(
            bandReading({
              centre_hz,
              range_db: scene.range_db,
              tfull_s,
              tfull_standard_error_s: tfull_s * Math.sqrt(fisher),
              t20_s: scene.full_range_only ? null : decay_s * Math.exp(place + place_t20),
            }),
          );
        }
      });
    }
    STAGES.forEach((stage, i) => {
      takes[i]!.forEach((bands, clap) => {
        readings.push({ stage, position: `P${position}`, take: `${stage}-${position}-${clap}`, bands });
      });
    });
  }
  return readings;
}

/** A band reading that holds what is given and refuses the rest. */
export function bandReading(given: Partial<BandReading> & { centre_hz: number }): BandReading {
  return {
    width: 'octave',
    range_db: null,
    edt_s: null,
    t20_s: null,
    t30_s: null,
    tfull_s: null,
    tfull_standard_error_s: null,
    nonlinearity_permille: null,
    curvature_percent: null,
    c50_db: null,
    c80_db: null,
    d50: null,
    ts_s: null,
    late_level_db: null,
    two_slopes: null,
    refusals: {},
    flags: {},
    ...given,
  };
}
