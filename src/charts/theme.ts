import type { Config } from 'vega-lite';
import { darkenedTo, mixColours } from './colour.ts';

/**
 * The look of every chart: ink on white paper, hairlines, one accent. What must be told apart is told apart by shape, dash and
 * lightness, so that the page survives a black-and-white printer and a colour-blind reader; the hue only helps.
 */

export const INK = '#1c2126';
export const SOFT_INK = '#56606a';
export const HAIRLINE = '#dde1e5';
export const WASH = '#e8ebee';
export const PAPER = '#ffffff';
export const DEFAULT_ACCENT = '#1d4e5f';
/** The lightest stage is still three times darker than paper, as WCAG 2.2 (1.4.11) asks of graphics. */
const PALEST_STAGE = '#868f98';

export const FONT = "'Source Sans 3', 'Source Sans Pro', 'Helvetica Neue', Arial, sans-serif";
export const TEXT_PX = 11;
export const LABEL_PX = 10.5;
/** Width of a chart that fills the text column. In print one unit comes out a little over one CSS pixel. */
export const COLUMN_PX = 560;

export const HEIGHT_PX = { cover: 250, band: 300, panel: 118, row: 22 } as const;
/** Height of the strip under the zero line where refused values stand. */
export const STRIP_PX = 16;
/** Air between the zero line and what stands under it. */
export const ZERO_GAP_PX = 3;

/** A cross: the mark of a value that could not be measured. */
export const CROSS_PATH = 'M-0.7,-0.7L0.7,0.7M-0.7,0.7L0.7,-0.7';

const STAGE_SHAPES = ['circle', 'square', 'triangle-up', 'diamond', 'triangle-down'] as const;
const STAGE_DASHES = [
  [2, 2],
  [6, 2],
  [7, 2, 2, 2],
  [3, 1.5],
  [1, 0],
] as const;

/** How a verdict is drawn: a filled triangle that points the way, or a hollow circle. */
export const CHANGE_SHAPES = {
  reduced: { shape: 'triangle-down', changed: true, colour: INK, fill: INK },
  increased: { shape: 'triangle-up', changed: true, colour: INK, fill: INK },
  'no-detectable-change': { shape: 'circle', changed: false, colour: SOFT_INK, fill: PAPER },
} as const;

/** How one stage is drawn, wherever it appears. */
export interface StageLook {
  colour: string;
  fill: string;
  shape: string;
  dash: number[];
}

/**
 * One look a stage, first to last: pale to accent, dotted to solid, each with its own shape; the first is hollow, the last
 * always a solid line. For more than five the shapes repeat and lightness carries the order.
 */
export function stageLooks(count: number, accent: string): StageLook[] {
  return Array.from({ length: count }, (_, index) => {
    const last = index === count - 1 && count > 1;
    const colour = mixColours(PALEST_STAGE, accent, count > 1 ? index / (count - 1) : 1);
    return {
      colour,
      fill: index === 0 && count > 1 ? PAPER : colour,
      shape: STAGE_SHAPES[index % STAGE_SHAPES.length]!,
      dash: [...(last || count === 1 ? [1, 0] : STAGE_DASHES[index % (STAGE_DASHES.length - 1)]!)],
    };
  });
}

/** The accent to draw with: the brand colour, darkened until it reads on white, or the project's own when there is none. */
export function accentColour(brand: string | null): string {
  return darkenedTo(brand ?? DEFAULT_ACCENT);
}

/** How numbers are written on the axes. */
export interface NumberMarks {
  decimal: string;
  thousands: string;
}

/** The vega-lite config that all charts share. Builders name the styles below and set no colour or size of their own. */
export function themeConfig(accent: string, marks: NumberMarks): Config {
  return {
    background: PAPER,
    padding: { left: 2, right: 4, top: 4, bottom: 2 },
    font: FONT,
    aria: false,
    locale: {
      number: { decimal: marks.decimal, thousands: marks.thousands, grouping: [3], currency: ['', ''] },
    },
    view: { stroke: null },
    axis: {
      labelColor: SOFT_INK,
      labelFontSize: LABEL_PX,
      labelPadding: 6,
      titleColor: INK,
      titleFontSize: TEXT_PX,
      titleFontWeight: 400,
      domain: false,
      ticks: false,
      grid: false,
    },
    axisX: { labelAngle: 0, titlePadding: 7 },
    axisY: {
      grid: true,
      gridColor: HAIRLINE,
      gridWidth: 0.75,
      tickCount: 5,
      titleAngle: 0,
      titleAlign: 'left',
      titleAnchor: 'end',
      titleBaseline: 'bottom',
      titleX: -26,
      titleY: -9,
    },
    legend: {
      orient: 'top',
      direction: 'horizontal',
      title: null,
      labelColor: INK,
      labelFontSize: TEXT_PX,
      symbolSize: 62,
      symbolStrokeWidth: 1.4,
      columnPadding: 16,
      rowPadding: 3,
      offset: 26,
    },
    header: {
      title: null,
      labelColor: INK,
      labelFontSize: TEXT_PX,
      labelFontWeight: 600,
      labelAnchor: 'start',
      labelPadding: 5,
    },
    point: { strokeWidth: 1.4, size: 46, opacity: 1 },
    line: { strokeWidth: 1.4, strokeCap: 'round', strokeJoin: 'round' },
    text: { fontSize: LABEL_PX, color: INK },
    style: {
      interval: { strokeWidth: 1.1, strokeCap: 'butt', opacity: 1 },
      context: { strokeWidth: 0.9, color: mixColours(PALEST_STAGE, PAPER, 0.35) },
      zone: { opacity: 1 },
      zero: { color: INK, strokeWidth: 0.9 },
      reference: { color: SOFT_INK, strokeWidth: 0.8, strokeDash: [4, 3] },
      noise: { strokeWidth: 0.8, strokeDash: [1.5, 2.5] },
      fitted: { strokeWidth: 3.2, strokeCap: 'butt' },
      refused: { shape: CROSS_PATH, size: 34, strokeWidth: 1.3, filled: false },
      note: { fontSize: LABEL_PX, color: SOFT_INK, baseline: 'middle' },
      beside: { fontSize: LABEL_PX, color: SOFT_INK, align: 'right', baseline: 'middle' },
      strong: { size: 80 },
      value: { fontSize: LABEL_PX, color: INK, baseline: 'middle' },
      heading: { fontSize: TEXT_PX, color: INK, fontWeight: 600, align: 'left', baseline: 'bottom' },
      accent: { color: accent, stroke: accent },
      change: { strokeWidth: 13, strokeCap: 'butt', color: mixColours(accent, PAPER, 0.82) },
    },
  };
}
