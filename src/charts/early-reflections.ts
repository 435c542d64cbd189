import { formatList, formatNumber, withUnit } from '../report/format.ts';
import type { Reflection } from '../room/reading.ts';
import { zoneChannel } from './band-layers.ts';
import { type ChartBasis, type Layer, panels } from './basis.ts';
import type { Chart, SkippedChart } from './chart.ts';
import type { PickedTrace, TracePair } from './pick-traces.ts';
import type { LabelledStage } from './stage-label.ts';
import { FULL_PANEL_PX, HEIGHT_PX, PAPER } from './theme.ts';
import { TIP_CHANNEL, TIPPED } from './tip.ts';
import { earlyPoints } from './trace-rows.ts';
import type { ChartWords } from './words.ts';

/** Early reflections at least 10 dB below the direct sound within 15 ms: EBU Tech 3276, 2nd ed. 1998 (from memory). */
const STRONG_DB = -10;
const STRONG_MS = 15;
const SPAN_MS = 50;
const BOTTOM_DB = -40;
/** Reflections marked a panel, and told of in the description: the strongest. A room full of them would hide the curve. */
const MARKED = 12;
/** Reflections that carry their path length in the picture: the strongest few that leave room for the words. */
const NAMED = 5;
const ROOM_MS = 4.5;

/**
 * The first 50 ms before and after: energy-time curve, each reflection marked, the strongest with the extra length of their
 * path, and the region where EBU Tech 3276 wants none.
 *
 * @param input.pair one response a stage, at one position
 * @returns the chart, or the reason why it cannot be drawn
 */
export function earlyReflections(
  input: { id: string; pair: TracePair | null; from: LabelledStage; to: LabelledStage },
  basis: ChartBasis,
): Chart | SkippedChart {
  const { words } = basis;
  const { id, pair, from, to } = input;
  const sides = pair ? [side(from, pair.from), side(to, pair.to)] : [];
  if (!pair || sides.some(({ points }) => points.length === 0)) return { id, reason: words.skipped.no_traces };
  return {
    id,
    title: words.title.early({ from: from.label, to: to.label, position: pair.position }),
    alt: [...sides.map((one) => sideAlt(one, basis)), words.alt.strong].join(' '),
    spec: {
      ...panels(basis),
      title: { text: words.note.energy_time },
      vconcat: sides.map((one, index) => ({
        title: { text: one.stage.label, style: 'panel' },
        width: FULL_PANEL_PX,
        height: HEIGHT_PX.early,
        layer: sideLayers(one, { basis, bottom: index === sides.length - 1 }),
      })),
    },
  };
}

interface Side {
  stage: LabelledStage;
  points: ReturnType<typeof earlyPoints>;
  reflections: readonly Reflection[];
}

function side(stage: LabelledStage, picked: PickedTrace): Side {
  const inside = picked.reflections.filter((one) => one.delay_s * 1000 <= SPAN_MS && one.level_db >= BOTTOM_DB);
  const strongest = [...inside].sort((a, b) => b.level_db - a.level_db).slice(0, MARKED);
  const reflections = strongest.sort((a, b) => a.delay_s - b.delay_s);
  return { stage, points: earlyPoints(picked.trace.early), reflections };
}

function isStrong(reflection: Reflection): boolean {
  return reflection.delay_s * 1000 <= STRONG_MS && reflection.level_db > STRONG_DB;
}

function strongestOf(reflections: readonly Reflection[]): Reflection[] {
  const named: Reflection[] = [];
  for (const one of [...reflections].sort((a, b) => b.level_db - a.level_db)) {
    const free = named.every((other) => Math.abs(other.delay_s - one.delay_s) * 1000 >= ROOM_MS);
    if (free && named.length < NAMED) named.push(one);
  }
  return named;
}

function sideLayers(one: Side, options: { basis: ChartBasis; bottom: boolean }): Layer[] {
  const { words, lengths, accent } = options.basis;
  const x = {
    field: 'time_ms',
    type: 'quantitative' as const,
    scale: { domain: [-1, SPAN_MS], nice: false },
    axis: { title: options.bottom ? words.axis.after_direct : null, values: [0, 5, 10, 15, 20, 30, 40, 50] },
  };
  const y = {
    field: 'level_db',
    type: 'quantitative' as const,
    scale: { domain: [BOTTOM_DB, 0], nice: false },
    axis: { title: null, values: [0, -10, -20, -30, -40] },
  };
  const named = strongestOf(one.reflections);
  const marks = one.reflections.map((reflection) => ({
    time_ms: reflection.delay_s * 1000,
    level_db: reflection.level_db,
    strong: isStrong(reflection),
    path: named.includes(reflection) ? words.note.path(lengths.whole(reflection.extra_path_m, 1)) : '',
    tip: words.tip.plain({
      name: reflectionText(reflection, words),
      value: words.note.path(lengths.whole(reflection.extra_path_m, 1)),
    }),
  }));
  return [
    {
      data: {
        values: [{ from_ms: 0, to_ms: STRONG_MS, low: STRONG_DB, high: 0, role: words.legend.strong_reflection }],
      },
      mark: { type: 'rect', style: 'zone' },
      encoding: {
        x: { ...x, field: 'from_ms' },
        x2: { field: 'to_ms' },
        y: { ...y, field: 'low' },
        y2: { field: 'high' },
        color: zoneChannel(),
      },
    },
    { data: { values: one.points }, mark: { type: 'line', style: 'energy', clip: true }, encoding: { x, y } },
    {
      data: { values: marks },
      mark: { type: 'point', style: 'reflection', ...TIPPED },
      encoding: {
        ...TIP_CHANNEL,
        x,
        y,
        stroke: { value: accent },
        fill: { condition: { test: 'datum.strong', value: accent }, value: PAPER },
      },
    },
    {
      data: { values: marks.filter((mark) => mark.path !== '') },
      encoding: { x, y },
      layer: [
        { mark: { type: 'point', style: 'plate' } },
        { mark: { type: 'text', style: 'path' }, encoding: { text: { field: 'path' } } },
      ],
    },
  ];
}

function sideAlt(one: Side, { words }: ChartBasis): string {
  if (one.reflections.length === 0) return words.alt.no_reflections(one.stage.label);
  const list = one.reflections.map((reflection) => reflectionText(reflection, words));
  return words.alt.reflections(one.stage.label, formatList(list, words.locale));
}

function reflectionText({ delay_s, level_db }: Reflection, { alt, unit, locale }: ChartWords): string {
  return alt.reflection({
    delay: withUnit(formatNumber(delay_s * 1000, 1, locale), unit.milliseconds),
    level: withUnit(formatNumber(level_db, 1, locale), unit.decibels),
  });
}
