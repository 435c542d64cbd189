import { formatSigned, intervalPlaces, withUnit } from '../report/format.ts';
import { octaveX } from './band-axis.ts';
import { refusedLayers, zeroLine, zoneChannel } from './band-layers.ts';
import { type BandChange, bandsOf } from './band-rows.ts';
import { type ChartBasis, frame, type Layer } from './basis.ts';
import type { Chart, SkippedChart } from './chart.ts';
import { bandName } from './label.ts';
import { CHANGE_SHAPES, HEIGHT_PX } from './theme.ts';
import { TIP_CHANNEL, TIPPED } from './tip.ts';
import type { ChartWords } from './words.ts';

/** One comparison, ready to be drawn. */
export interface ChangeInput {
  id: string;
  title: string;
  /** Values in the unit named: per cent for times, dB for levels. */
  rows: readonly BandChange[];
  /** Name of the vertical axis, with its unit. */
  axis: string;
  /** Unit as a sentence writes it. */
  unit: string;
  /** Half width of the zone too small to notice, in the same unit; null where no such limit is published. */
  noticeable: { limit: number; label: string } | null;
}

/**
 * Change by octave band between two stages, with its 95 % interval, the zero line, and the zone too small to notice.
 * The verdict is the shape: a filled triangle down or up for a change, a hollow circle where none could be told.
 *
 * @returns the chart, or the reason why it cannot be drawn
 */
export function changeByBand(input: ChangeInput, basis: ChartBasis): Chart | SkippedChart {
  const { words } = basis;
  if (!input.rows.some((row) => row.value !== null)) return { id: input.id, reason: words.skipped.no_change };
  const verdicts = words.verdict;
  const refused = input.rows.filter((row) => row.value === null).map((row) => ({ x_hz: row.centre_hz }));
  const measured = input.rows
    .filter((row) => row.value !== null)
    .map(({ centre_hz, value, low, high, verdict }) => ({
      x_hz: centre_hz,
      value,
      low,
      high,
      verdict: verdicts[verdict],
      tip: changeText({ centre_hz, value, low, high, verdict }, input.unit, words),
    }));
  const domain = drawnVerdicts(input.rows);
  const looks = domain.map((verdict) => CHANGE_SHAPES[verdict]);
  const x = octaveX(bandsOf(input.rows), { words, strip: refused.length > 0 });
  const y = {
    type: 'quantitative' as const,
    title: input.axis,
    scale: { zero: true, nice: true },
    axis: { labelExpr: SIGNED_LABEL },
  };
  const channel = <T>(range: T[]) => ({
    field: 'verdict',
    type: 'nominal' as const,
    scale: { domain: domain.map((verdict) => verdicts[verdict]), range },
    legend: {},
  });
  const stroke = channel(looks.map((look) => (look.changed ? basis.accent : look.colour)));
  return {
    id: input.id,
    title: input.title,
    alt: changeAlt(input, basis),
    spec: {
      ...frame(basis),
      height: HEIGHT_PX.band,
      layer: [
        ...zoneLayer(input.noticeable),
        zeroLine(y),
        ...refusedLayers(refused, { x, stroke: null, words }),
        {
          data: { values: measured },
          encoding: { x, stroke },
          layer: [
            {
              mark: { type: 'rule', style: 'interval' },
              encoding: { y: { ...y, field: 'low' }, y2: { field: 'high' } },
            },
            {
              mark: { type: 'point', style: 'strong', ...TIPPED },
              encoding: {
                ...TIP_CHANNEL,
                y: { ...y, field: 'value' },
                shape: channel(looks.map((look) => look.shape)),
                fill: channel(looks.map((look) => (look.changed ? basis.accent : look.fill))),
              },
            },
          ],
        },
      ],
    },
  };
}

/** Gains carry their sign, as losses do. */
const SIGNED_LABEL = "datum.value > 0 ? '+' + datum.label : datum.label";
const VERDICT_ORDER = ['reduced', 'increased', 'no-detectable-change'] as const;

function drawnVerdicts(rows: readonly BandChange[]) {
  return VERDICT_ORDER.filter((verdict) => rows.some((row) => row.value !== null && row.verdict === verdict));
}

function zoneLayer(noticeable: ChangeInput['noticeable']): Layer[] {
  if (noticeable === null) return [];
  return [
    {
      data: { values: [{ low: -noticeable.limit, high: noticeable.limit, role: noticeable.label }] },
      mark: { type: 'rect', style: 'zone' },
      encoding: {
        y: { field: 'low', type: 'quantitative' },
        y2: { field: 'high' },
        color: zoneChannel(),
      },
    },
  ];
}

function changeAlt(input: ChangeInput, { words }: ChartBasis): string {
  const told = input.rows.map((row) => changeText(row, input.unit, words));
  return `${told.join('; ')}. ${words.alt.interval}`;
}

/** A change as tables round it: to what its interval is worth. */
function changeText(row: BandChange, unit: string, words: ChartWords): string {
  const { value, low, high } = row;
  const band = bandName(row.centre_hz, words.locale);
  if (value === null || low === null || high === null) return `${band}: ${words.verdict['not-measurable']}`;
  const places = intervalPlaces({ low, high });
  const figure = (number: number) => withUnit(formatSigned(number, places, words.locale), unit);
  const told = words.alt.change_at({ band, value: figure(value), low: figure(low), high: figure(high) });
  return `${told}, ${words.verdict[row.verdict]}`;
}
