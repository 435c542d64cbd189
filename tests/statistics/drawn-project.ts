import type { ReadingAt } from '../../src/statistics/cells.ts';
import { bandReading } from '../bench/coverage-drawn.ts';
import type { SeededRandom } from '../bench/coverage-random.ts';

export interface DrawnShape {
  stages: readonly string[];
  /** Decay time of each stage, the same in every band. */
  decay_s: readonly number[];
  positions: number;
  files: number;
  claps: number;
}

/** Where a file's claps were really made, and by what its decay is longer. */
export interface Truth {
  stage: number;
  position: number;
  longer: number;
}

const BANDS_HZ = [250, 500, 1000, 2000, 4000];
/** Spreads over places in ln(T) and dB, and of repeats at one place. */
const PLACE = { tfull: 0.03, c50_db: 1.2 };
const REPEAT = { tfull: 0.01, c50_db: 0.25 };

/**
 * A project drawn straight from its distribution: every place of every stage has a decay and a clarity of its own in each band, which
 * its repeats share but for a little. `truthOf` tells of a file what it really holds; left out, what its folder says.
 */
export function drawnProject(
  random: SeededRandom,
  shape: DrawnShape,
  truthOf: (file: { stage: number; position: number; file: number }) => Partial<Truth> = () => ({}),
): ReadingAt[] {
  const places = shape.stages.map((_, s) =>
    Array.from({ length: shape.positions }, () =>
      BANDS_HZ.map(() => ({
        log_s: Math.log(shape.decay_s[s]!) + PLACE.tfull * random.normal(),
        c50_db: 9 - 14 * Math.log10(shape.decay_s[s]! / 0.4) + PLACE.c50_db * random.normal(),
      })),
    ),
  );
  const readings: ReadingAt[] = [];
  shape.stages.forEach((name, stage) => {
    for (let position = 0; position < shape.positions; position++) {
      for (let file = 0; file < shape.files; file++) {
        const truth = { stage, position, longer: 1, ...truthOf({ stage, position, file }) };
        const held = places[truth.stage]![truth.position]!;
        for (let clap = 0; clap < shape.claps; clap++) {
          const bands = BANDS_HZ.map((centre_hz, b) => {
            const tfull_s = truth.longer * Math.exp(held[b]!.log_s + REPEAT.tfull * random.normal());
            const c50_db = held[b]!.c50_db + REPEAT.c50_db * random.normal();
            return bandReading({ centre_hz, range_db: 50, tfull_s, tfull_standard_error_s: 0.02 * tfull_s, c50_db });
          });
          readings.push({
            stage: name,
            position: `P${position}`,
            take: `${name}/P${position}/${file}.wav@${clap}`,
            bands,
          });
        }
      }
    }
  });
  return readings;
}
