import { formatNumber, withUnit } from '../report/format.ts';
import type { ModeSummary } from '../room/mode-advice.ts';
import type { ModeKind } from '../room/modes.ts';
import { type ChartBasis, frame, type Layer } from './basis.ts';
import type { Chart, SkippedChart } from './chart.ts';
import { bandName } from './label.ts';
import { HEIGHT_PX, INK, PROGRESS_PX, SOFT_INK } from './theme.ts';
import { TIP_CHANNEL, TIPPED } from './tip.ts';

const KINDS: readonly ModeKind[] = ['axial', 'tangential', 'oblique'];

/**
 * The modes of the room up to its Schroeder frequency, a stroke each in a row for its kind: where strokes stand apart, the bass
 * is uneven, and no decay time of a band can speak for it.
 *
 * @param summary from a box-shaped room and a decay time; null where either is not known
 * @returns the chart, or the reason why it cannot be drawn
 */
export function modeLines(summary: ModeSummary | null, basis: ChartBasis): Chart | SkippedChart {
  const id = 'room-modes';
  const { words } = basis;
  if (!summary) return { id, reason: words.skipped.no_box };
  if (summary.modes.length === 0) return { id, reason: words.skipped.no_modes };
  const top_hz = Math.ceil((summary.schroeder_hz * 1.06) / 10) * 10;
  const domain = KINDS.map((kind) => words.mode[kind]);
  const x = {
    field: 'frequency_hz',
    type: 'quantitative' as const,
    scale: { domain: [0, top_hz], nice: false },
    axis: { title: words.axis.mode_frequency, tickCount: 8, grid: true },
  };
  const y = { field: 'kind', type: 'ordinal' as const, scale: { domain }, axis: { title: null, grid: false } };
  const range = [basis.accent, SOFT_INK, SOFT_INK];
  const counts = KINDS.map((kind) => ({
    kind: words.mode[kind],
    text: words.note.modes(formatNumber(summary.counts[kind], 0, words.locale)),
  }));
  const count: Layer = {
    data: { values: counts },
    mark: { type: 'text', style: 'figure' },
    encoding: { x: { value: { expr: `width + ${PROGRESS_PX.figure}` } }, y, text: { field: 'text' } },
  };
  return {
    id,
    title: words.title.modes,
    alt: modesAlt(summary, basis),
    spec: {
      ...frame(basis),
      height: HEIGHT_PX.modes,
      layer: [
        {
          data: {
            values: summary.modes.map((mode) => ({
              kind: words.mode[mode.kind],
              frequency_hz: Math.round(mode.frequency_hz * 100) / 100,
              tip: words.tip.plain({
                name: words.mode[mode.kind],
                value: withUnit(formatNumber(mode.frequency_hz, 1, words.locale), 'Hz'),
              }),
            })),
          },
          mark: { type: 'tick', style: 'stroke', ...TIPPED },
          encoding: {
            ...TIP_CHANNEL,
            x,
            y,
            color: { field: 'kind', type: 'nominal', scale: { domain, range }, legend: null },
          },
        },
        {
          data: { values: [{ frequency_hz: summary.schroeder_hz }] },
          mark: { type: 'rule', style: 'limit' },
          encoding: { x, color: { value: INK } },
        },
        {
          data: { values: [{ frequency_hz: summary.schroeder_hz }] },
          mark: { type: 'text', style: 'limit-name' },
          encoding: { x, y: { value: -5 }, text: { value: words.legend.schroeder } },
        },
        count,
      ],
    },
  };
}

function modesAlt(summary: ModeSummary, { words }: ChartBasis): string {
  const hertz = (value: number) => withUnit(formatNumber(value, 0, words.locale), 'Hz');
  const count = (kind: ModeKind) => formatNumber(summary.counts[kind], 0, words.locale);
  const modal = summary.bands
    .filter((band) => band.standing === 'modal')
    .map((band) => bandName(band.centre_hz, words.locale));
  return [
    words.alt.modes({
      schroeder: hertz(summary.schroeder_hz),
      axial: count('axial'),
      tangential: count('tangential'),
      oblique: count('oblique'),
      lowest: hertz(summary.modes[0]!.frequency_hz),
    }),
    ...(modal.length ? [words.alt.modal_bands(modal.join(', '))] : []),
  ].join(' ');
}
