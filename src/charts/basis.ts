import type { Config, TopLevelSpec } from 'vega-lite';
import { type Lengths, lengthsOf } from '../report/lengths.ts';
import { accentColour, COLUMN_PX, PANEL_GAP_PX, PANEL_LEGEND_GAP_PX, themeConfig } from './theme.ts';
import type { ChartWords } from './words.ts';

const SCHEMA = 'https://vega.github.io/schema/vega-lite/v6.json';

/** What every builder draws with: words, and the theme in the client's colour. */
export interface ChartBasis {
  words: ChartWords;
  /** How lengths are written. */
  lengths: Lengths;
  /** `#rrggbb`, dark enough to read on white. */
  accent: string;
  config: Config;
}

/** One layer of a layered chart. */
export type Layer = Extract<TopLevelSpec, { layer: unknown }>['layer'][number];

/** The basis for a brand colour `#rrggbb`, or for the project's own where that is null. */
export function chartBasis(
  brand: string | null,
  words: ChartWords,
  lengths: Lengths = lengthsOf({ units: 'metres' }, words.locale),
): ChartBasis {
  const accent = accentColour(brand);
  return { words, lengths, accent, config: themeConfig(accent, words.marks) };
}

/** The parts that all top-level specs share: schema, theme, and a width that fits the text column. */
export function frame(basis: ChartBasis): {
  $schema: string;
  config: Config;
  width: number;
  autosize: { type: 'fit'; contains: 'padding' };
} {
  return {
    $schema: SCHEMA,
    config: basis.config,
    width: COLUMN_PX,
    autosize: { type: 'fit', contains: 'padding' },
  };
}

/** As {@link frame}, for charts of several panels, which set the widths of their panels themselves. */
export function panels(basis: ChartBasis): { $schema: string; config: Config; spacing: number } {
  const legend = { ...basis.config.legend, offset: PANEL_LEGEND_GAP_PX };
  return { $schema: SCHEMA, config: { ...basis.config, legend }, spacing: PANEL_GAP_PX };
}
