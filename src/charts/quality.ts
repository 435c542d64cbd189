import { formatList, formatNumber, withUnit } from '../report/format.ts';
import { type ChartBasis, frame } from './basis.ts';
import type { Chart, SkippedChart } from './chart.ts';
import { bandLabel, bandName, tidyLabel } from './label.ts';
import { HEIGHT_PX, RANGE_SHAPES } from './theme.ts';
import { TIP_CHANNEL, TIPPED } from './tip.ts';
import type { RangeClass } from './words.ts';

/** The least level range of a take's responses in an octave band, in dB; null where none could be read. */
export interface TakeRange {
  /** Path of the file within the project, unique. */
  file: string;
  ranges: readonly { centre_hz: number; range_db: number | null }[];
}

/** The folder that most projects keep all takes in: left out of the labels, it says nothing. */
const COMMON_FOLDER = /^recordings\//;

/** Rows that fit a page. */
export const TAKES_A_CHART = 32;
/** Letters of a path that fit a row label. */
const LABEL_LETTERS = 30;
const CLASSES: readonly RangeClass[] = ['t30', 't20', 'edt', 'none'];
/** Level range over the noise that each reading needs: ISO 3382-1:2009, 4.2.1 and 5.3; the early decay by the same margin. */
const NEEDED_DB = { t30: 45, t20: 35, edt: 20 } as const;

/** What a level range in dB allows to be read: T30 from 45 dB, T20 from 35, the early decay from 20 (ISO 3382-1:2009). */
export function rangeClass(range_db: number | null): RangeClass {
  if (range_db === null || range_db < NEEDED_DB.edt) return 'none';
  if (range_db < NEEDED_DB.t20) return 'edt';
  return range_db < NEEDED_DB.t30 ? 't20' : 't30';
}

/**
 * Dots by take and octave band: how much decay each recording holds above its noise, in the four steps that decide what can be
 * read. Takes a page full at most; the caller splits longer lists.
 *
 * @returns the chart, or the reason why it cannot be drawn
 */
export function quality(input: { id: string; takes: readonly TakeRange[] }, basis: ChartBasis): Chart | SkippedChart {
  const { words } = basis;
  const { id, takes } = input;
  const labels = fileLabels(takes.map((take) => take.file));
  const cells = takes.flatMap((take, index) => take.ranges.map((cell) => ({ take: labels[index]!, ...cell })));
  if (cells.length === 0) return { id, reason: words.skipped.no_values };
  const bands = [...new Set(cells.map((cell) => cell.centre_hz))].sort((a, b) => a - b);
  const present = CLASSES.filter((name) => cells.some((cell) => rangeClass(cell.range_db) === name));
  const looks = present.map((name) => RANGE_SHAPES[name]);
  const domain = present.map((name) => words.range_class[name]);
  const colour = (part: 'stroke' | 'fill') =>
    looks.map((look) => (look[part] === 'accent' ? basis.accent : look[part]));
  const channel = <T>(range: T[]) => ({
    field: 'range',
    type: 'nominal' as const,
    scale: { domain, range },
    legend: { columns: 2, labelLimit: 240, offset: 12 },
  });
  return {
    id,
    title: words.title.quality,
    alt: qualityAlt(takes, basis),
    spec: {
      ...frame(basis),
      height: HEIGHT_PX.progress + 26 + HEIGHT_PX.dot * takes.length,
      data: {
        values: cells.map((cell) => ({
          take: cell.take,
          band: bandLabel(cell.centre_hz),
          range: words.range_class[rangeClass(cell.range_db)],
          tip: words.tip.value({
            name: cell.take,
            at: bandName(cell.centre_hz, words.locale),
            value:
              cell.range_db === null
                ? words.legend.not_measurable
                : withUnit(formatNumber(cell.range_db, 0, words.locale), words.unit.decibels),
          }),
        })),
      },
      mark: { type: 'point', style: 'dot', ...TIPPED },
      encoding: {
        ...TIP_CHANNEL,
        x: {
          field: 'band',
          type: 'ordinal',
          scale: { domain: bands.map(bandLabel) },
          axis: { title: words.axis.band },
        },
        y: {
          field: 'take',
          type: 'ordinal',
          scale: { domain: labels },
          axis: { title: null, grid: true, labelLimit: 0 },
        },
        shape: channel(looks.map((look) => look.shape)),
        stroke: channel(colour('stroke')),
        fill: channel(colour('fill')),
      },
    },
  };
}

/** Files as row labels: the end of a long path, where takes differ, numbered where even that is the same. */
export function fileLabels(files: readonly string[]): string[] {
  const ends = files.map((file) => {
    const letters = [...tidyLabel(file.replace(COMMON_FOLDER, ''), 2000)];
    return letters.length <= LABEL_LETTERS ? letters.join('') : `…${letters.slice(1 - LABEL_LETTERS).join('')}`;
  });
  return ends.map((end, index) => (ends.indexOf(end) === ends.lastIndexOf(end) ? end : `${index + 1}: ${end}`));
}

function qualityAlt(takes: readonly TakeRange[], { words }: ChartBasis): string {
  const all = takes.flatMap((take) => take.ranges.map((cell) => rangeClass(cell.range_db)));
  const counts = CLASSES.map((name) =>
    words.alt.range({ name: words.range_class[name], count: all.filter((it) => it === name).length }),
  );
  const short = takes.flatMap((take) => {
    const bands = take.ranges.filter(({ range_db }) => range_db === null || range_db < NEEDED_DB.t20);
    const names = bands.map(({ centre_hz }) => bandName(centre_hz, words.locale));
    return names.length ? [words.alt.range_take(tidyLabel(take.file), formatList(names, words.locale))] : [];
  });
  return [`${counts.join('; ')}.`, ...short].join(' ');
}
