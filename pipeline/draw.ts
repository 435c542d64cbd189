import { readFileSync } from 'node:fs';
import * as vega from 'vega';
import { compile } from 'vega-lite';
import type { Chart } from '../src/charts/chart.ts';
import { finishSvg } from '../src/charts/finish-svg.ts';
import { resource } from './resources.ts';

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

/** Does beforehand what the first drawing would have to: the widths of letters are read. */
export function prepareDrawing(): void {
  measureWithEmbeddedFont();
  known ??= readAdvances();
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
/** The table gives thousandths of an em, as the fonts do. */
const UNITS_PER_EM = 1000;
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

/** Advances by weight and code point, see templates/letter-widths.csv: opening the fonts for them took longer than most drawings. */
type Advances = Record<(typeof WEIGHTS)[number], Map<number, number>>;

let known: Advances | null = null;

function readAdvances(): Advances {
  const advances: Advances = { 400: new Map(), 600: new Map() };
  const [, ...rows] = readFileSync(resource('letter-widths.csv'), 'utf8').trim().split('\n');
  for (const row of rows) {
    const [code, ...units] = row.split(',').map(Number);
    WEIGHTS.forEach((weight, i) => {
      advances[weight].set(code!, units[i]! / UNITS_PER_EM);
    });
  }
  return advances;
}

function textWidth_em(text: string, weight: (typeof WEIGHTS)[number]): number {
  known ??= readAdvances();
  const advances = known[weight];
  let total = 0;
  for (const letter of text) total += advances.get(letter.codePointAt(0)!) ?? UNKNOWN_ADVANCE_EM;
  return total;
}
