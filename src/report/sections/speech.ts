import type { Purpose } from '../../project/project.ts';
import { type Context, stageName } from '../context.ts';
import type { Block, Row } from '../document.ts';
import { formatNumber } from '../format.ts';
import { numberCell, textCell, typeset } from '../phrases.ts';
import { column, paragraph, subheading, table } from './section.ts';

/** Where the room is for speech; elsewhere the index says nothing of use. */
const FOR_SPEECH: readonly Purpose[] = ['speech-recording', 'meeting', 'classroom'];

/** The speech transmission index of every stage, an estimate; why there is none where no response carries it. */
export function speechBlocks(context: Context): Block[] {
  const { words, results } = context;
  const { speech = [], project } = results;
  if (speech.length === 0 || !FOR_SPEECH.includes(project.purpose)) return [];
  const title = (key: string) => words.say(`speech.${key}`);
  const heading = subheading('speech', title('title'));
  if (speech.every(({ sti }) => sti === null)) {
    const reason = typeset(speech[0]!.refusals[0] ?? '');
    return [heading, paragraph(words.say('speech.none', { reason }))];
  }
  const two = (value: number) => formatNumber(value, 2, words.locale);
  const rows = speech.map(
    ({ stage, sti, lowest, highest, rating, responses }): Row => ({
      head: [stageName(context, stage)],
      cells: [
        numberCell(sti === null ? null : two(sti)),
        numberCell(
          lowest === null || highest === null
            ? null
            : words.plain('advice.range', { low: two(lowest), high: two(highest) }),
        ),
        rating === null ? numberCell(null) : textCell(words.say(`speech.rating.${rating}`)),
        numberCell(formatNumber(responses, 0, words.locale)),
      ],
    }),
  );
  return [
    heading,
    paragraph(title('lead')),
    table({
      id: 'speech-table',
      caption: title('caption'),
      head: column(title('head')),
      columns: [
        column(title('index'), { align: 'end' }),
        column(title('span'), { align: 'end' }),
        column(title('word')),
        column(title('responses'), { align: 'end' }),
      ],
      rows,
    }),
  ];
}
