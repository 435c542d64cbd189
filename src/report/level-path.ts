import { levelTrace, meanLevel_db } from '../audio/level-trace.ts';

/** The box a level trace is drawn in: time across, from 0 dB at its top to the floor at its bottom. */
export const LEVEL_BOX = { width: 600, height: 100 } as const;
const FLOOR_DB = -70;

/**
 * The level of a clip over its length as the outline of an SVG path within {@link LEVEL_BOX}: the mean of each 600th part, relative to
 * full scale, down to -70 dB.
 */
export function levelPath({ samples, rate_hz }: { samples: Float64Array; rate_hz: number }): string {
  const trace = levelTrace(samples, rate_hz);
  const steps = Math.min(LEVEL_BOX.width, trace.frames);
  if (steps < 2) return '';
  const points = Array.from({ length: steps }, (_, step) => {
    const from = Math.floor((step * trace.frames) / steps);
    const to = Math.max(from + 1, Math.floor(((step + 1) * trace.frames) / steps));
    const level_db = Math.max(FLOOR_DB, Math.min(0, meanLevel_db(trace, from, to)));
    const x = (step * LEVEL_BOX.width) / (steps - 1);
    return `${x.toFixed(1)},${((LEVEL_BOX.height * level_db) / FLOOR_DB).toFixed(1)}`;
  });
  return `M${points.join('L')}`;
}
