import type { Reflection } from '../../room/reading.ts';
import { type Context, figureBlocks, stageName } from '../context.ts';
import type { Block, Row, Section } from '../document.ts';
import { formatNumber } from '../format.ts';
import { numberCell, textCell } from '../phrases.ts';
import type { ResponseResult } from '../results.ts';
import { column, paragraph, section, table } from './section.ts';

/** The span in which reflections are held against the direct sound (EBU Tech 3276, 2nd edition 1998). */
const EARLY_S = 0.015;

/** The strongest early reflections, with their detours; null where no response could be used. */
export function reflectionsSection(context: Context): Section | null {
  const { words, primary } = context;
  const rows = reflectionRows(context);
  if (rows.length === 0) return null;
  const figures = figureBlocks(context, 'early-reflections', words.say('reflections.figure'), primary ?? undefined);
  return section(context, 'reflections', [
    paragraph(words.say('reflections.lead')),
    ...figures,
    reflectionTable(context, rows),
  ]);
}

function reflectionTable(context: Context, rows: Row[]): Block {
  const { words } = context;
  const title = (key: string) => words.say(`reflections.table.${key}`);
  return table({
    id: 'reflections-table',
    caption: title('caption'),
    head: column(title('head')),
    columns: [
      column(title('position')),
      column(title('delay'), { unit: 'ms', align: 'end' }),
      column(title('path'), { unit: context.lengths.unit, align: 'end' }),
      column(title('level'), { unit: 'dB', align: 'end' }),
      column(title('found'), { align: 'end' }),
    ],
    rows,
  });
}

function reflectionRows(context: Context): Row[] {
  const { words, results } = context;
  const { locale } = words;
  return results.project.stages.flatMap((stage): Row[] => {
    const takes = results.takes.filter((take) => take.stage === stage.id && take.used);
    const positions = [...new Set(takes.map((take) => take.position))];
    return positions.flatMap((position): Row[] => {
      const responses = takes.filter((take) => take.position === position).flatMap((take) => take.responses);
      const used = responses.filter((response) => response.used);
      if (used.length === 0) return [];
      const strongest = used.map(strongestEarly).filter((reflection) => reflection !== null);
      const middle = middlemost(strongest);
      const cells = middle
        ? [
            numberCell(formatNumber(middle.delay_s * 1000, 1, locale)),
            numberCell(context.lengths.text(middle.extra_path_m, 1)),
            numberCell(formatNumber(middle.level_db, 0, locale)),
          ]
        : [numberCell(null), numberCell(null), numberCell(null)];
      const count = words.plain('reflections.table.count', { found: strongest.length, all: used.length });
      return [{ head: [stageName(context, stage.id)], cells: [textCell(position), ...cells, numberCell(count)] }];
    });
  });
}

function strongestEarly(response: ResponseResult): Reflection | null {
  const early = response.reflections.filter((reflection) => reflection.delay_s <= EARLY_S);
  return early.sort((a, b) => b.level_db - a.level_db)[0] ?? null;
}

/** The one in the middle by level, so that no single clap speaks for the place. */
function middlemost(reflections: Reflection[]): Reflection | null {
  const sorted = [...reflections].sort((a, b) => a.level_db - b.level_db);
  return sorted[Math.floor((sorted.length - 1) / 2)] ?? null;
}
