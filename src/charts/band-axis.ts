import { STRIP_PX, ZERO_GAP_PX } from './theme.ts';
import type { ChartWords } from './words.ts';

/** Share of an octave between the marks of two neighbouring stages, and the widest that a group of marks may be. */
const DODGE_OCTAVES = 0.13;
const GROUP_OCTAVES = 0.6;
const HALF_BAND = Math.SQRT2;

/** How a frequency in Hz is labelled on an axis; the same rule as `bandLabel`. */
export const FREQUENCY_LABEL = "datum.value >= 1000 ? datum.value / 1000 + 'k' : '' + datum.value";

/**
 * The octave axis: logarithmic, a label at each nominal midband, half an octave to spare at either end; lower by a strip where
 * refused values have to stand. Rows carry their place on it as `x_hz`.
 */
export function octaveX(bands_hz: readonly number[], options: { words: ChartWords; strip: boolean }) {
  const domain = [bands_hz[0]! / HALF_BAND, bands_hz.at(-1)! * HALF_BAND];
  return {
    field: 'x_hz',
    type: 'quantitative' as const,
    scale: { type: 'log' as const, domain, nice: false },
    axis: {
      title: options.words.axis.band,
      values: [...bands_hz],
      labelExpr: FREQUENCY_LABEL,
      labelOverlap: false,
      offset: options.strip ? STRIP_PX + ZERO_GAP_PX : ZERO_GAP_PX,
    },
  };
}

/** Where the mark of stage `index` of `count` stands within its octave, so that stages do not hide one another. In Hz. */
export function dodged_hz(centre_hz: number, place: { index: number; count: number }): number {
  const step = Math.min(DODGE_OCTAVES, GROUP_OCTAVES / Math.max(1, place.count - 1));
  return centre_hz * 2 ** (step * (place.index - (place.count - 1) / 2));
}

/** The edges of an octave, in Hz. */
export function octaveEdges(centre_hz: number): { from_hz: number; to_hz: number } {
  return { from_hz: centre_hz / HALF_BAND, to_hz: centre_hz * HALF_BAND };
}
