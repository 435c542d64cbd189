import type { Advice } from '../../advice/advice.ts';
import { predictedText } from '../advice-phrases.ts';
import { type Context, quotedStage } from '../context.ts';
import type { Block, Row } from '../document.ts';
import { formatList, formatNumber } from '../format.ts';
import { numberCell } from '../phrases.ts';
import { column, paragraph, subheading, table } from './section.ts';

/** What the surfaces of the room make one expect of it bare, beside what the first stage measured; nothing where none are listed. */
export function bareRoomBlocks(context: Context, { bare }: Advice): Block[] {
  const { words, results } = context;
  if (bare === null) return [];
  const title = (key: string) => words.say(`bare.${key}`);
  const heading = subheading('bare-room', title('title'));
  if (bare.unknown_materials.length > 0) {
    const materials = formatList(bare.unknown_materials, words.locale);
    return [heading, paragraph(words.say('bare.unknown', { materials }))];
  }
  if (bare.bands.length === 0) return [];
  const measured = bare.bands.some(({ measured_s }) => measured_s !== null);
  const rows = bare.bands.map(
    (band): Row => ({
      head: [String(band.centre_hz)],
      cells: [
        numberCell(predictedText(context, band.predicted)),
        ...(measured
          ? [numberCell(band.measured_s === null ? null : formatNumber(band.measured_s, 2, words.locale))]
          : []),
      ],
    }),
  );
  const stage = quotedStage(context, results.project.stages[0]!.id);
  return [
    heading,
    paragraph(title('lead')),
    table({
      id: 'bare-table',
      caption: words.say(measured ? 'bare.caption-both' : 'bare.caption', { stage }),
      head: column(words.say('advice.distance.band'), { unit: 'Hz', align: 'end' }),
      columns: [
        column(title('predicted'), { unit: 's', align: 'end' }),
        ...(measured ? [column(title('measured'), { unit: 's', align: 'end' })] : []),
      ],
      rows,
    }),
  ];
}
