import type { Advice } from '../../advice/advice.ts';
import type { Context } from '../context.ts';
import type { Block, Row } from '../document.ts';
import { numberCell, textCell } from '../phrases.ts';
import { column, paragraph, subheading, table } from './section.ts';

/** What depth of absorber the octaves that are too long ask for, and what no thin layer can do; nothing where none is too long. */
export function depthBlocks(context: Context, { needed }: Advice): Block[] {
  const { words } = context;
  if (needed.length === 0) return [];
  const title = (key: string) => words.say(`advice.depth.${key}`);
  const millimetres = (metres: number) => context.lengths.small(metres * 1000);
  const rows = needed.map(
    ({ centre_hz, quarter_wave_m, thickness_m }): Row => ({
      head: [String(centre_hz)],
      cells: [
        numberCell(millimetres(quarter_wave_m)),
        thickness_m === null ? textCell(title('resonator')) : numberCell(millimetres(thickness_m)),
      ],
    }),
  );
  return [
    subheading('depth', title('title')),
    paragraph(title('lead')),
    table({
      id: 'depth-table',
      caption: title('caption'),
      head: column(words.say('advice.distance.band'), { unit: 'Hz', align: 'end' }),
      columns: [column(title('quarter'), { align: 'end' }), column(title('wool'), { align: 'end' })],
      rows,
      remarks: [{ mark: null, text: title('source') }],
    }),
  ];
}
