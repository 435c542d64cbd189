import type { Config } from 'vega-lite';
import { contrastRatio, DEFAULT_ACCENT } from '../report/accent.ts';
import { mixColours } from './colour.ts';

/**
 * The look of every chart: ink on white paper, hairlines, one accent. What must be told apart is told apart by shape, dash and
 * lightness, so that the page survives a black-and-white printer and a colour-blind reader; the hue only helps.
 */

export const INK = '#1c2126';
export const SOFT_INK = '#56606a';
export const HAIRLINE = '#dde1e5';
export const WASH = '#e8ebee';
export const PAPER = '#ffffff';
/** Contrast of the accent with paper: well apart from the palest stage, also on a black-and-white printer. */
const ACCENT_CONTRAST = 7;
/** The lightest stage is still three times darker than paper, as WCAG 2.2 (1.4.11) asks of graphics. */
const PALEST_STAGE = '#868f98';

export const FONT = "'Source Sans 3', 'Source Sans Pro', 'Helvetica Neue', Arial, sans-serif";
export const TEXT_PX = 11;
export const LABEL_PX = 10.5;
/** Height of a line of text in a label. */
export const LINE_PX = 12;
/** Width of a chart that fills the text column. In print one unit comes out a little over one CSS pixel. */
export const COLUMN_PX = 560;

/** Panels of small multiples: how many in a row, the air between them, the room for the scale on the left. */
export const PANEL_COLUMNS = 4;
export const PANEL_GAP_PX = 16;
export const PANEL_LEGEND_GAP_PX = 12;
const SCALE_PX = 34;
/** Width of a panel that fills the column, beside its scale. */
export const FULL_PANEL_PX = COLUMN_PX - SCALE_PX;

/** Width of one of `columns` panels in a row. */
export function panelWidth_px(columns: number): number {
  return Math.floor((FULL_PANEL_PX - PANEL_GAP_PX * (columns - 1)) / columns);
}

/** The widest a row label may be, and where the columns of figures stand right of the plot. */
export const PROGRESS_PX = { label: 200, figure: 14, cost: 104 } as const;

/** The most that the plan of a room may take, and the shapes that stand in it. */
export const PLAN_PX = { width: 470, height: 260, microphone: 'circle', source: 'triangle-up' } as const;

export const HEIGHT_PX = {
  cover: 250,
  band: 300,
  panel: 104,
  early: 130,
  map: 190,
  modes: 150,
  progress: 62,
  row: 28,
  dot: 15,
} as const;
/** Height of the strip under the zero line where refused values stand. */
export const STRIP_PX = 17;
/** Air between the zero line and what stands under it. */
export const ZERO_GAP_PX = 5;

/** Size of a legend symbol that is a piece of line, long enough to show its dashes. */
export const LINE_SYMBOL = 420;

/** A cross: the mark of a value that could not be measured. */
export const CROSS_PATH = 'M-0.7,-0.7L0.7,0.7M-0.7,0.7L0.7,-0.7';

/** The paper behind the words beside a mark. A stroke about the letters would come out in print as shapes, not as text. */
const PLATE_PATH = 'M0.45,-0.95L2.95,-0.95L2.95,0.1L0.45,0.1Z';

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

/** How much range is drawn: the fuller and darker the mark, the more can be read. `accent` stands for the accent colour. */
export const RANGE_SHAPES = {
  t30: { shape: 'circle', stroke: 'accent', fill: 'accent' },
  t20: { shape: 'diamond', stroke: SOFT_INK, fill: '#aab2b9' },
  edt: { shape: 'circle', stroke: SOFT_INK, fill: PAPER },
  none: { shape: CROSS_PATH, stroke: SOFT_INK, fill: 'transparent' },
} as const;

/** How one stage is drawn, wherever it appears. */
export interface StageLook {
  colour: string;
  fill: string;
  shape: string;
  dash: number[];
}

/** The stages between first and last, where there are too many to draw each in full. */
export const BETWEEN_LOOK: StageLook = {
  colour: mixColours(PALEST_STAGE, PAPER, 0.35),
  fill: PAPER,
  shape: 'stroke',
  dash: [1, 0],
};

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

/** Shades of one hue for `count` steps of level, the loudest darkest; all lighter than text, none as light as paper. */
export function levelShades(count: number, accent: string): string[] {
  return Array.from({ length: count }, (_, step) => mixColours(accent, PAPER, (0.92 * step) / (count - 1)));
}

/** The accent to draw with: the brand colour, darkened until it reads on white, or the project's own when there is none. */
export function accentColour(brand: string | null): string {
  const base = brand ?? DEFAULT_ACCENT;
  for (let black = 0; black < 1; black += 0.05) {
    const colour = mixColours(base, '#000000', black);
    if (contrastRatio(colour, PAPER) >= ACCENT_CONTRAST) return colour;
  }
  return '#000000';
}

/** The vega-lite config that all charts share. Builders name the styles below and set no colour or size of their own. */
export function themeConfig(accent: string, marks: { decimal: string; thousands: string }): Config {
  return {
    background: PAPER,
    padding: { left: 2, right: 4, top: 4, bottom: 2 },
    font: FONT,
    aria: false,
    lineBreak: '\n',
    locale: {
      number: { decimal: marks.decimal, thousands: marks.thousands, grouping: [3], currency: ['', ''] },
    },
    view: { stroke: null },
    axis: {
      labelColor: SOFT_INK,
      labelFontSize: LABEL_PX,
      labelPadding: 6,
      labelLineHeight: LINE_PX,
      titleColor: INK,
      titleFontSize: TEXT_PX,
      titleFontWeight: 400,
      domain: false,
      ticks: false,
      grid: false,
    },
    axisX: { labelAngle: 0, labelFlush: false, titlePadding: 7 },
    axisY: {
      grid: true,
      gridColor: HAIRLINE,
      gridWidth: 0.75,
      tickCount: 5,
      titleAngle: 0,
      titleAlign: 'left',
      titleAnchor: 'end',
      titleBaseline: 'bottom',
      titleX: 0,
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
    title: { anchor: 'start', frame: 'group', fontSize: TEXT_PX, fontWeight: 400, color: INK, offset: 5 },
    header: {
      title: null,
      labelColor: INK,
      labelFontSize: TEXT_PX,
      labelFontWeight: 600,
      labelAnchor: 'start',
      labelPadding: 5,
    },
    point: { strokeWidth: 1.4, size: 46, opacity: 1 },
    text: { fontSize: LABEL_PX, color: INK },
    style: {
      // Not under `line` above: vega-lite writes a width given there into every line, over its style.
      line: { strokeWidth: 1.4, strokeCap: 'round', strokeJoin: 'round' },
      interval: { strokeWidth: 1.1, strokeCap: 'butt', opacity: 1 },
      between: { strokeWidth: 0.9 },
      zone: { opacity: 1, stroke: WASH, strokeWidth: 0.75 },
      zero: { color: INK, strokeWidth: 0.9 },
      noise: { strokeWidth: 0.8, strokeDash: [1.5, 2.5] },
      fitted: { strokeWidth: 3.2, strokeCap: 'butt' },
      refused: { shape: CROSS_PATH, size: 52, strokeWidth: 1.4, filled: false, color: SOFT_INK },
      beside: { fontSize: LABEL_PX, color: SOFT_INK, align: 'right', baseline: 'middle' },
      strong: { size: 80 },
      panel: { fontSize: TEXT_PX, font: FONT, fontWeight: 600, fill: INK },
      energy: { strokeWidth: 0.9, color: SOFT_INK },
      reflection: { size: 34, strokeWidth: 1.2 },
      path: { fontSize: LABEL_PX, color: INK, align: 'left', baseline: 'middle', dx: 6, dy: -5 },
      plate: { shape: PLATE_PATH, size: 576, color: PAPER, filled: true, strokeWidth: 0, opacity: 0.85 },
      figure: { fontSize: LABEL_PX, color: INK, align: 'left', baseline: 'middle' },
      dot: { size: 52, strokeWidth: 1.2 },
      flag: { fontSize: TEXT_PX, color: INK, align: 'left', baseline: 'middle', dx: 4, dy: -6 },
      'flag-note': { fontSize: LABEL_PX, color: SOFT_INK, align: 'right', baseline: 'bottom' },
      walls: { color: PAPER, stroke: INK, strokeWidth: 2.5 },
      cell: { stroke: null, opacity: 1 },
      stroke: { thickness: 1.2, bandSize: 22, opacity: 1 },
      limit: { strokeWidth: 1, strokeDash: [4, 3] },
      'limit-name': { fontSize: LABEL_PX, color: INK, align: 'right', baseline: 'bottom' },
      heading: { fontSize: TEXT_PX, color: INK, fontWeight: 600, align: 'left', baseline: 'bottom' },
      change: { strokeWidth: 13, strokeCap: 'butt', color: mixColours(accent, PAPER, 0.82) },
    },
  };
}
