import type { TopLevelSpec } from 'vega-lite';

/** A chart as data: what it is called, what it says to a reader who cannot see it, and how to draw it. */
export interface Chart {
  /** Unique within a report; letters, digits, dot, dash and underscore only. */
  id: string;
  title: string;
  alt: string;
  spec: TopLevelSpec;
}

/** A chart that was asked for and cannot be drawn, with the reason. */
export interface SkippedChart {
  id: string;
  reason: string;
}

/** True for a chart that can be drawn, false for one that was skipped. */
export function isDrawn(chart: Chart | SkippedChart): chart is Chart {
  return 'spec' in chart;
}
