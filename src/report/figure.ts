/** The charts a report may hold. A chart of one comparison is named `<kind>--<from>--<to>`, the others by their kind alone. */
export const FIGURE_KINDS = [
  'cover-change',
  'decay-by-band',
  'change-by-band',
  'decay-curves',
  'energy-map',
  'early-reflections',
  'clarity-by-band',
  'late-level',
  'progress',
  'quality',
  'gain-by-band',
  'room-plan',
  'reflection-plan',
  'room-modes',
] as const;
export type FigureKind = (typeof FIGURE_KINDS)[number];

/** One chart, described. */
export interface Figure {
  /** See {@link figureId}. */
  id: string;
  /** A plain phrase that names what is shown; the report adds number and reading help. */
  title: string;
  /** What the chart shows, in words, for a reader who cannot see it. */
  alt: string;
}

/** The id of a chart: its kind, and the two stages compared where it belongs to one comparison. */
export function figureId(kind: FigureKind, comparison?: { from: string; to: string }): string {
  return comparison ? `${kind}--${comparison.from}--${comparison.to}` : kind;
}
