import { formatList, formatNumber, withUnit } from '../report/format.ts';
import type { DecayCurve } from '../room/reading.ts';
import { stageChannels } from './band-layers.ts';
import { type ChartBasis, type Layer, panels } from './basis.ts';
import type { Chart, SkippedChart } from './chart.ts';
import { bandName } from './label.ts';
import type { PickedTrace, TracePair } from './pick-traces.ts';
import type { LabelledStage } from './stage-label.ts';
import { HEIGHT_PX, LINE_SYMBOL, PANEL_COLUMNS, panelWidth_px } from './theme.ts';
import { TIP_CHANNEL, TIPPED } from './tip.ts';
import { curvePoints, FLOOR_DB, type TracePoint } from './trace-rows.ts';
import type { ChartWords } from './words.ts';

/** Levels between which T20 is read: ISO 3382-1:2009, definition of reverberation time. */
const T20_FROM_DB = -5;
const T20_TO_DB = -25;

/** Keeps the label of 0 dB within the panel, so that the titles of all panels stand in one line. */
const HEADROOM_DB = 4;

interface DrawnCurve {
  stage: LabelledStage;
  curve: DecayCurve;
  points: TracePoint[];
  /** Whether T20 was read from it. */
  fitted: boolean;
}

/**
 * Decay curves of one response before and one after, a panel an octave: backward-integrated level against time, as far as the
 * noise allows; the stretch that T20 is read from drawn thick; the noise level dotted.
 *
 * @param input.pair one response a stage, at one position
 * @returns the chart, or the reason why it cannot be drawn
 */
export function decayCurves(
  input: { id: string; pair: TracePair | null; from: LabelledStage; to: LabelledStage },
  basis: ChartBasis,
): Chart | SkippedChart {
  const { words } = basis;
  const { id, pair, from, to } = input;
  const drawn = pair ? [...curvesOf(from, pair.from), ...curvesOf(to, pair.to)] : [];
  if (!pair || drawn.length === 0) return { id, reason: words.skipped.no_traces };
  const bands = [...new Set(drawn.map(({ curve }) => curve.centre_hz))].sort((a, b) => a - b);
  const end_s = Math.max(...drawn.map(({ points }) => points.at(-1)!.time_s));
  const stages = [from, to];
  return {
    id,
    title: words.title.decay_curves({ from: from.label, to: to.label, position: pair.position }),
    alt: curvesAlt({ drawn, stages }, basis),
    spec: {
      ...panels(basis),
      title: { text: words.note.decay_curves },
      columns: PANEL_COLUMNS,
      concat: bands.map((band, index) => ({
        title: { text: bandName(band, words.locale), style: 'panel' },
        width: panelWidth_px(PANEL_COLUMNS),
        height: HEIGHT_PX.panel,
        layer: panelLayers({
          drawn: drawn.filter(({ curve }) => curve.centre_hz === band),
          stages,
          end_s,
          scale: index % PANEL_COLUMNS === 0,
          words,
        }),
      })),
    },
  };
}

function curvesOf(stage: LabelledStage, { trace, bands }: PickedTrace): DrawnCurve[] {
  const hasT20 = ({ centre_hz }: DecayCurve) =>
    bands.some((band) => band.width === 'octave' && band.centre_hz === centre_hz && band.t20_s !== null);
  return trace.curves
    .filter((curve) => curve.width === 'octave')
    .map((curve) => ({ stage, curve, points: curvePoints(curve), fitted: hasT20(curve) }))
    .filter(({ points }) => points.length > 1);
}

function panelLayers(panel: {
  drawn: readonly DrawnCurve[];
  stages: readonly LabelledStage[];
  end_s: number;
  /** Whether the panel stands first in its row and carries the level scale. */
  scale: boolean;
  words: ChartWords;
}): Layer[] {
  const x = {
    field: 'time_s',
    type: 'quantitative' as const,
    scale: { domain: [0, panel.end_s], nice: false },
    axis: {
      title: null,
      tickCount: 3,
      format: '~g',
      labelExpr: `datum.label + ${JSON.stringify(` ${panel.words.unit.seconds_short}`)}`,
    },
  };
  const y = {
    field: 'level_db',
    type: 'quantitative' as const,
    scale: { domain: [FLOOR_DB, HEADROOM_DB], nice: false },
    axis: { title: null, values: [0, -20, -40, -60], labels: panel.scale },
  };
  const channels = stageChannels(panel.stages);
  const legend = { ...channels.stroke.legend, symbolSize: LINE_SYMBOL };
  const stroke = { ...channels.stroke, legend };
  const strokeDash = { ...channels.strokeDash, field: 'stage', legend };
  const rows = panel.drawn.flatMap(({ stage, points, fitted, curve }) => {
    const tip = fallText({ stage, curve, points }, panel.words);
    return points.map(({ time_s, level_db }) => ({
      fitted,
      tip,
      stage: stage.label,
      time_s: rounded(time_s, 4),
      level_db: rounded(level_db, 1),
    }));
  });
  const read = rows.filter(({ fitted, level_db }) => fitted && level_db <= T20_FROM_DB && level_db >= T20_TO_DB);
  const noise = panel.drawn.flatMap(({ stage, curve }) =>
    curve.noise_db === null || curve.noise_db < FLOOR_DB
      ? []
      : [{ stage: stage.label, level_db: rounded(curve.noise_db, 1) }],
  );
  return [
    {
      data: { values: rows },
      mark: { type: 'line', ...TIPPED },
      encoding: { ...TIP_CHANNEL, x, y, stroke, strokeDash },
    },
    { data: { values: read }, mark: { type: 'line', style: 'fitted' }, encoding: { x, y, stroke } },
    { data: { values: noise }, mark: { type: 'rule', style: 'noise' }, encoding: { y, stroke } },
  ];
}

/** How far a curve can be followed, in words. */
function fallText(
  { stage, curve, points }: Pick<DrawnCurve, 'stage' | 'curve' | 'points'>,
  { tip, unit, locale }: ChartWords,
): string {
  const { time_s, level_db } = points.at(-1)!;
  return tip.curve({
    name: stage.label,
    at: bandName(curve.centre_hz, locale),
    fall: withUnit(formatNumber(-level_db, 0, locale), unit.decibels),
    time: withUnit(formatNumber(time_s, 2, locale), unit.seconds_short),
  });
}

/** Rounded to what the drawing can show, which keeps the specs short. */
function rounded(value: number, places: number): number {
  return Math.round(value * 10 ** places) / 10 ** places;
}

function curvesAlt(
  input: { drawn: readonly DrawnCurve[]; stages: readonly LabelledStage[] },
  { words }: ChartBasis,
): string {
  const { locale, unit } = words;
  return input.stages
    .map((stage) => {
      const ends = input.drawn
        .filter((curve) => curve.stage === stage)
        .map(({ curve, points }) => {
          const { time_s, level_db } = points.at(-1)!;
          return words.alt.curve_end({
            band: bandName(curve.centre_hz, locale),
            time: withUnit(formatNumber(time_s, 2, locale), unit.seconds_short),
            level: withUnit(formatNumber(level_db, 0, locale), unit.decibels),
          });
        });
      return words.alt.values(stage.label, formatList(ends, locale));
    })
    .join(' ');
}
