import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Font } from 'fontkit';
import { create } from 'fontkit';
import * as vega from 'vega';
import { compile } from 'vega-lite';
import type { Chart } from '../src/charts/chart.ts';
import { finishSvg } from '../src/charts/finish-svg.ts';

/** A chart with its drawing: one whole `<svg>` element that scales with its place and refers to nothing outside itself. */
export interface DrawnChart {
  chart: Chart;
  svg: string;
}

/**
 * Draws charts as SVG, one after the other, the same bytes each time on any machine: text is measured with the embedded font
 * itself, never with what the machine has installed.
 *
 * @throws when a spec does not compile cleanly, which is a mistake in the builder and not in the project
 */
export async function drawCharts(charts: readonly Chart[]): Promise<DrawnChart[]> {
  measureWithEmbeddedFont();
  const drawn: DrawnChart[] = [];
  for (const chart of charts) drawn.push({ chart, svg: await drawChart(chart) });
  return drawn;
}

/** Does beforehand what the first drawing would have to: the fonts are opened. */
export function prepareDrawing(): void {
  measureWithEmbeddedFont();
  for (const weight of WEIGHTS) textWidth_em('0', weight);
}

async function drawChart(chart: Chart): Promise<string> {
  const warnings: string[] = [];
  const { spec } = compile(chart.spec, { logger: collectingLogger(warnings) });
  if (warnings.length > 0) throw new Error(`chart ${chart.id}: ${warnings.join('; ')}`);
  vega.resetSVGDefIds();
  const view = new vega.View(vega.parse(spec), { renderer: 'none', logger: vegaLogger(warnings) });
  try {
    const svg = await view.toSVG();
    if (warnings.length > 0) throw new Error(`chart ${chart.id}: ${warnings.join('; ')}`);
    return finishSvg(svg, chart);
  } finally {
    view.finalize();
  }
}

function vegaLogger(warnings: string[]): vega.LoggerInterface {
  const collect = collectingLogger(warnings);
  return collect as unknown as vega.LoggerInterface;
}

function collectingLogger(warnings: string[]) {
  const logger = {
    level: () => logger,
    warn: (...message: unknown[]) => {
      warnings.push(message.join(' '));
      return logger;
    },
    error: (...message: unknown[]) => {
      warnings.push(message.join(' '));
      return logger;
    },
    info: () => logger,
    debug: () => logger,
  };
  return logger;
}

interface MeasuredText {
  fontSize?: number;
  fontWeight?: number | string;
  limit?: number;
}

/** Advance of a letter that none of the embedded fonts holds, in ems: wide enough for the scripts of East Asia. */
const UNKNOWN_ADVANCE_EM = 1;
const WEIGHTS = [400, 600] as const;

/** Hands vega the advance widths of the embedded font. Vega keeps one measurer for the process; setting it twice changes nothing. */
function measureWithEmbeddedFont(): void {
  const metrics = (
    vega as unknown as {
      textMetrics: { width: (item: MeasuredText, text: string) => number; canvas: (on: boolean) => void };
    }
  ).textMetrics;
  metrics.canvas(false);
  metrics.width = (item, text) => {
    const width = textWidth_em(String(text), Number(item.fontWeight) >= 600 ? 600 : 400) * (item.fontSize ?? 11);
    return item.limit && item.limit > 0 ? Math.min(width, item.limit) : width;
  };
}

const fonts = new Map<number, Font[]>();
const advances = new Map<string, number>();

function textWidth_em(text: string, weight: (typeof WEIGHTS)[number]): number {
  let total = 0;
  for (const letter of text) {
    const key = `${weight}${letter}`;
    let advance = advances.get(key);
    if (advance === undefined) {
      advance = letterAdvance_em(letter.codePointAt(0)!, weight);
      advances.set(key, advance);
    }
    total += advance;
  }
  return total;
}

function letterAdvance_em(codePoint: number, weight: (typeof WEIGHTS)[number]): number {
  if (!fonts.has(weight))
    fonts.set(
      weight,
      ['latin', 'latin-ext', 'greek', 'cyrillic'].map((set) => openFont(set, weight)),
    );
  const font = fonts.get(weight)!.find((candidate) => candidate.hasGlyphForCodePoint(codePoint));
  return font ? font.glyphForCodePoint(codePoint).advanceWidth / font.unitsPerEm : UNKNOWN_ADVANCE_EM;
}

function openFont(set: string, weight: number): Font {
  const file = createRequire(import.meta.url).resolve(
    `@fontsource/source-sans-3/files/source-sans-3-${set}-${weight}-normal.woff2`,
  );
  return create(readFileSync(file)) as Font;
}
