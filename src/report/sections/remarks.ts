import type { Context } from '../context.ts';
import type { Block, Row } from '../document.ts';
import { textCell } from '../phrases.ts';
import type { Remark } from '../remarks.ts';
import { column, table } from './section.ts';

/** Most files named in a row; beyond, how many there are: results.json has them all. */
const NAMED = 3;

/** What takes show beside each other, as a short table of the takes' section; nothing where there is nothing to say. */
export function remarksTable(context: Context): Block[] {
  const { words, results } = context;
  const remarks = results.remarks ?? [];
  if (remarks.length === 0) return [];
  const rows = remarks.map(
    (remark): Row => ({ head: filesOf(context, remark), cells: [textCell(sentence(remark.message))] }),
  );
  return [
    table({
      id: 'takes-remarks',
      caption: words.say('takes.remarks.caption'),
      head: column(words.say('takes.remarks.head')),
      columns: [column(words.say('takes.remarks.finding'))],
      rows,
    }),
  ];
}

function filesOf({ words }: Context, { files }: Remark): Row['head'] {
  return files.length <= NAMED
    ? [files.map((file) => file.replace(/^recordings\//, '')).join(', ')]
    : words.say('takes.remarks.many', { count: files.length });
}

function sentence(message: string): string {
  return `${message.charAt(0).toUpperCase()}${message.slice(1)}.`;
}
