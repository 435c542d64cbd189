import type { Advice } from '../../advice/advice.ts';
import { numberedSpots } from '../../advice/loud-spots.ts';
import { type Context, figureBlocks } from '../context.ts';
import type { Block, Row } from '../document.ts';
import { formatList, formatNumber } from '../format.ts';
import { numberCell, textCell } from '../phrases.ts';
import { column, paragraph, subheading, table } from './section.ts';

/** Where early reflections most likely come from, and what to do there; nothing where the purpose does not ask or no face fits. */
export function placementBlocks(context: Context, { placement }: Advice): Block[] {
  const { words } = context;
  const rows = numberedSpots(placement).map((spot) => spotRow(context, spot));
  if (rows.length === 0) return [];
  const title = (key: string) => words.say(`advice.place.${key}`);
  const absorb = placement.some(({ spots }) => spots.some(({ action }) => action === 'absorb-there'));
  return [
    subheading('placement', title('title')),
    paragraph(title(absorb ? 'lead-absorb' : 'lead-move')),
    ...figureBlocks(context, 'reflection-plan', title('plan')),
    table({
      id: 'placement-table',
      caption: title('caption'),
      head: column(title('number'), { align: 'end' }),
      columns: [
        column(title('position')),
        column(title('face')),
        column(title('spot'), { unit: context.lengths.unit, align: 'end' }),
        column(title('delay'), { unit: 'ms', align: 'end' }),
        column(title('level'), { unit: 'dB', align: 'end' }),
      ],
      rows,
      remarks: [{ mark: null, text: title('remark') }],
    }),
  ];
}

function spotRow(context: Context, { number, position, spot }: ReturnType<typeof numberedSpots>[number]): Row {
  const { words } = context;
  const { locale } = words;
  const { measured, candidates } = spot.matched;
  const [first, ...others] = candidates.map(({ face }) => words.plain(`face.${face}`));
  const face =
    others.length === 0
      ? first!
      : words.plain('advice.place.or', { first: first!, others: formatList(others, locale) });
  return {
    head: [String(number)],
    cells: [
      textCell(position),
      textCell(face),
      numberCell(spot.likely.point_m.map((value) => context.lengths.text(value, 1)).join(' · ')),
      numberCell(formatNumber(measured.delay_s * 1000, 1, locale)),
      numberCell(formatNumber(measured.level_db, 0, locale)),
    ],
  };
}
