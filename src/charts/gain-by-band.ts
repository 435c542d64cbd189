import type { EffectBand, TreatmentEffect } from '../advice/advice.ts';
import { effectSteps } from '../advice/effect-steps.ts';
import { formatEstimate, formatNumber, withUnit } from '../report/format.ts';
import { octaveX } from './band-axis.ts';
import { zeroLine } from './band-layers.ts';
import { type ChartBasis, type Layer, panels } from './basis.ts';
import type { Chart, SkippedChart } from './chart.ts';
import { bandName } from './label.ts';
import type { LabelledStage } from './stage-label.ts';
import { HEIGHT_PX, PAPER, panelWidth_px } from './theme.ts';
import { TIP_CHANNEL, TIPPED } from './tip.ts';

/** Panels in a row, and in all. */
const COLUMNS = 2;
const MOST_PANELS = 4;

/**
 * Absorption gained by each treatment in each octave, a panel a treatment: marks with 95 % intervals, filled where a gain is shown; behind
 * them bars for what the data of the product promise.
 *
 * @returns the chart, or the reason why it cannot be drawn
 */
export function gainByBand(
  effects: readonly TreatmentEffect[],
  stages: readonly LabelledStage[],
  basis: ChartBasis,
): Chart | SkippedChart {
  const id = 'gain-by-band';
  const { words } = basis;
  const steps = effectSteps(effects)
    .filter(({ bands }) => bands.some(({ gain_m2 }) => gain_m2 !== null))
    .slice(0, MOST_PANELS);
  if (steps.length === 0) return { id, reason: words.skipped.no_change };
  const bands = steps.flatMap((step) => step.bands.filter(({ gain_m2 }) => gain_m2 !== null));
  const centres = [...new Set(bands.map(({ centre_hz }) => centre_hz))].sort((a, b) => a - b);
  const ends = bands.flatMap((band) => [band.low_m2!, band.high_m2!, band.predicted_gain?.gain_m2 ?? 0]);
  const domain = [Math.min(0, ...ends), Math.max(...ends)];
  const promised = bands.some(({ predicted_gain }) => predicted_gain !== null);
  const columns = Math.min(COLUMNS, steps.length);
  const label = (step: TreatmentEffect) => stages.find(({ id }) => id === step.to)?.label ?? step.to;
  return {
    id,
    title: words.gain.title,
    alt: steps.map((step) => words.alt.values(label(step), bandTexts(step, basis))).join(' '),
    spec: {
      ...panels(basis),
      title: { text: promised ? words.gain.note_promised : words.gain.note },
      columns,
      concat: steps.map((step) => ({
        title: { text: label(step), style: 'panel' },
        width: panelWidth_px(columns),
        height: HEIGHT_PX.early,
        layer: panelLayers(step, { centres, domain }, basis),
      })),
    },
  };
}

function panelLayers(
  step: TreatmentEffect,
  { centres, domain }: { centres: readonly number[]; domain: number[] },
  basis: ChartBasis,
): Layer[] {
  const x = octaveX(centres, { words: basis.words, strip: false });
  const y = { type: 'quantitative' as const, title: null, scale: { domain, nice: true } };
  const drawn = step.bands.filter(({ gain_m2 }) => gain_m2 !== null);
  const promised = drawn.filter(({ predicted_gain }) => predicted_gain !== null);
  const claims = ['shown', 'open'];
  return [
    {
      data: {
        values: promised.map(({ centre_hz, predicted_gain }) => ({
          x_hz: centre_hz,
          from: 0,
          to: rounded(predicted_gain!.gain_m2),
        })),
      },
      mark: { type: 'rule', style: 'change' },
      encoding: { x, y: { ...y, field: 'from' }, y2: { field: 'to' } },
    },
    zeroLine(y),
    {
      data: {
        values: drawn.map((band) => ({
          x_hz: band.centre_hz,
          gain: rounded(band.gain_m2!),
          low: rounded(band.low_m2!),
          high: rounded(band.high_m2!),
          claim: isShown(band) ? 'shown' : 'open',
          tip: bandText(band, basis),
        })),
      },
      encoding: { x, stroke: { value: basis.accent } },
      layer: [
        { mark: { type: 'rule', style: 'interval' }, encoding: { y: { ...y, field: 'low' }, y2: { field: 'high' } } },
        {
          mark: { type: 'point', ...TIPPED },
          encoding: {
            ...TIP_CHANNEL,
            y: { ...y, field: 'gain' },
            fill: {
              field: 'claim',
              type: 'nominal',
              scale: { domain: claims, range: [basis.accent, PAPER] },
              legend: null,
            },
          },
        },
      ],
    },
  ];
}

function isShown({ claim }: EffectBand): boolean {
  return claim === 'gained' || claim === 'lost';
}

function bandTexts(step: TreatmentEffect, basis: ChartBasis): string {
  const drawn = step.bands.filter(({ gain_m2 }) => gain_m2 !== null);
  return drawn.map((band) => bandText(band, basis)).join('; ');
}

function bandText(band: EffectBand, { words }: ChartBasis): string {
  const { locale } = words;
  const half = (band.high_m2! - band.low_m2!) / 2;
  const { value, expanded } = formatEstimate({ value: band.gain_m2!, expanded: half, most_places: 1 }, locale);
  const gain = withUnit(expanded === null ? value : words.note.plus_minus(value, expanded), words.gain.unit);
  const promise = band.predicted_gain && formatNumber(band.predicted_gain.gain_m2, 1, locale);
  return words.gain.at({ band: bandName(band.centre_hz, locale), gain, promise });
}

/** Rounded to what the drawing can show, which keeps the specs short. */
function rounded(value: number): number {
  return Math.round(value * 1000) / 1000;
}
