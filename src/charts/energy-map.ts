import { formatNumber, withUnit } from '../report/format.ts';
import type { DecayCurve } from '../room/reading.ts';
import { type ChartBasis, type Layer, panels } from './basis.ts';
import type { Chart, SkippedChart } from './chart.ts';
import { bandLabel, bandName, twoLines } from './label.ts';
import type { TracePair } from './pick-traces.ts';
import type { LabelledStage } from './stage-label.ts';
import { HEIGHT_PX, levelShades, panelWidth_px } from './theme.ts';
import { TIP_CHANNEL, TIPPED } from './tip.ts';

/** Levels are told apart in steps of this many dB, down to the last of them. */
const STEP_DB = 10;
const STEPS = 6;
const OCTAVES_HZ = [63, 125, 250, 500, 1000, 2000, 4000, 8000];

/** Letters of a stage's name that fit one line over its panel. */
const PANEL_LETTERS = 44;

/** A stretch of a band's decay within one step of level. */
interface Stretch {
  centre_hz: number;
  from_s: number;
  to_s: number;
  step: number;
}

/**
 * How energy leaves the room over time and frequency, before and after on one scale: one row a third octave (an octave where
 * there are no thirds), darker where more is left, in steps of 10 dB of the backward-integrated decay. White is noise: nothing
 * is drawn past the point where the integration was cut.
 *
 * @param input.pair one response a stage, at one position
 * @returns the chart, or the reason why it cannot be drawn
 */
export function energyMap(
  input: { id: string; pair: TracePair | null; from: LabelledStage; to: LabelledStage },
  basis: ChartBasis,
): Chart | SkippedChart {
  const { words } = basis;
  const { id, pair } = input;
  const sides = pair
    ? [
        { stage: input.from, curves: finest(pair.from.trace.curves) },
        { stage: input.to, curves: finest(pair.to.trace.curves) },
      ]
    : [];
  if (!pair || sides.some(({ curves }) => curves.length === 0)) return { id, reason: words.skipped.no_traces };
  const drawn = sides.map(({ stage, curves }) => ({ stage, curves, stretches: curves.flatMap(stretchesOf) }));
  const bands = [...new Set(drawn.flatMap(({ curves }) => curves.map((curve) => curve.centre_hz)))].sort(
    (a, b) => b - a,
  );
  const end_s = Math.max(...drawn.flatMap(({ stretches }) => stretches.map((stretch) => stretch.to_s)));
  const what = { from: input.from.label, to: input.to.label, position: pair.position };
  return {
    id,
    title: words.title.energy_map(what),
    alt: [...drawn.map((one) => mapAlt(one, basis)), words.alt.energy_map].join(' '),
    spec: {
      ...panels(basis),
      title: { text: words.note.energy_map },
      hconcat: drawn.map(({ stage, stretches }, index) => ({
        title: { text: twoLines(stage.label, PANEL_LETTERS).split('\n'), style: 'panel', limit: panelWidth_px(2) },
        width: panelWidth_px(2),
        height: HEIGHT_PX.map,
        layer: [mapLayer(stretches, { basis, stage, bands, end_s, scale: index === 0 })],
      })),
    },
  };
}

function finest(curves: readonly DecayCurve[]): DecayCurve[] {
  const thirds = curves.filter((curve) => curve.width === 'third-octave');
  return thirds.length > 0 ? thirds : [...curves];
}

function stretchesOf({ centre_hz, step_s, level_db, truncation_s }: DecayCurve): Stretch[] {
  const stepAt = (index: number) => Math.floor(Math.max(0, -level_db[index]!) / STEP_DB);
  const count = Math.min(level_db.length, Math.floor(truncation_s / step_s));
  const stretches: Stretch[] = [];
  for (let index = 0; index < count; index++) {
    const step = stepAt(index);
    const [from_s, to_s] = [index * step_s, (index + 1) * step_s];
    const last = stretches.at(-1);
    if (step >= STEPS) break;
    if (last && last.step === step) last.to_s = to_s;
    else stretches.push({ centre_hz, from_s, to_s, step });
  }
  return stretches;
}

function stepLabel(step: number, { words }: ChartBasis): string {
  const edge = (at: number) => formatNumber(-at * STEP_DB, 0, words.locale);
  return words.legend.level_step(edge(step), edge(step + 1));
}

function mapLayer(
  stretches: readonly Stretch[],
  options: { basis: ChartBasis; stage: LabelledStage; bands: readonly number[]; end_s: number; scale: boolean },
): Layer {
  const { words, accent } = options.basis;
  const seconds = (value: number) => withUnit(formatNumber(value, 2, words.locale), words.unit.seconds_short);
  const steps = Array.from({ length: STEPS }, (_, step) => stepLabel(step, options.basis));
  const octaves = options.bands.filter((band) => OCTAVES_HZ.includes(band));
  return {
    data: {
      values: stretches.map(({ centre_hz, from_s, to_s, step }) => ({
        band: bandLabel(centre_hz),
        from_s: Math.round(from_s * 1e4) / 1e4,
        to_s: Math.round(to_s * 1e4) / 1e4,
        level: steps[step],
        tip: words.tip.energy({
          name: options.stage.label,
          at: bandName(centre_hz, words.locale),
          level: steps[step]!,
          from: seconds(from_s),
          to: seconds(to_s),
        }),
      })),
    },
    mark: { type: 'rect', style: 'cell', ...TIPPED },
    encoding: {
      ...TIP_CHANNEL,
      x: {
        field: 'from_s',
        type: 'quantitative',
        scale: { domain: [0, options.end_s], nice: false },
        axis: { title: words.axis.time, tickCount: 5 },
      },
      x2: { field: 'to_s' },
      y: {
        field: 'band',
        type: 'ordinal',
        scale: { domain: options.bands.map(bandLabel), paddingInner: 0, paddingOuter: 0 },
        axis: {
          title: null,
          grid: false,
          values: octaves.map(bandLabel),
          tickCount: octaves.length,
          labels: options.scale,
          labelOverlap: false,
        },
      },
      color: {
        field: 'level',
        type: 'ordinal',
        scale: { domain: steps, range: levelShades(STEPS, accent) },
        legend: { symbolType: 'square', columns: STEPS },
      },
    },
  };
}

function mapAlt(
  one: { stage: LabelledStage; curves: readonly DecayCurve[]; stretches: readonly Stretch[] },
  { words }: ChartBasis,
): string {
  const { locale, unit } = words;
  const reach = (centre_hz: number) => {
    const own = one.stretches.filter((stretch) => stretch.centre_hz === centre_hz && stretch.step < 3);
    const deeper = one.stretches.some((stretch) => stretch.centre_hz === centre_hz && stretch.step >= 3);
    return deeper
      ? [withUnit(formatNumber(Math.max(...own.map((stretch) => stretch.to_s)), 2, locale), unit.seconds_short)]
      : [];
  };
  const told = OCTAVES_HZ.flatMap((centre_hz) =>
    reach(centre_hz).map((time) => words.alt.value_at(time, bandName(centre_hz, locale))),
  );
  return words.alt.thirty_db(one.stage.label, told.join(', '));
}
