import type { Advice, PlacementSpot } from '../../advice/advice.ts';
import type { FirstReflection } from '../../room/image-sources.ts';
import { type Context, figureBlocks } from '../context.ts';
import type { Block, Row } from '../document.ts';
import { formatList, formatNumber } from '../format.ts';
import { numberCell, textCell } from '../phrases.ts';
import { column, paragraph, subheading, table } from './section.ts';

/** Where early reflections most likely come from, and what to do there; nothing where the purpose does not ask or no face fits. */
export function placementBlocks(context: Context, { placement }: Advice): Block[] {
  const { words } = context;
  const rows = placement
    .filter(({ asked }) => asked)
    .flatMap(({ position, spots }) => spotRows(context, position, spots));
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
      head: column(title('position')),
      columns: [
        column(title('face')),
        column(title('spot'), { unit: 'm', align: 'end' }),
        column(title('delay'), { unit: 'ms', align: 'end' }),
        column(title('level'), { unit: 'dB', align: 'end' }),
        column(title('do')),
      ],
      rows,
      remarks: [{ mark: null, text: title('remark') }],
    }),
  ];
}

/** One row for each face that is likely and too loud: the loudest reflection of it. */
export function loudSpots(spots: readonly PlacementSpot[]): (PlacementSpot & { likely: FirstReflection })[] {
  const loud = spots.filter(
    (spot): spot is PlacementSpot & { likely: FirstReflection } => spot.likely !== null && spot.action !== 'none',
  );
  return loud.filter(({ likely, matched }) =>
    loud.every(
      (other) => other.likely.face !== likely.face || other.matched.measured.level_db <= matched.measured.level_db,
    ),
  );
}

function spotRows(context: Context, position: string, spots: readonly PlacementSpot[]): Row[] {
  const { words } = context;
  const { locale } = words;
  return loudSpots(spots).map((spot, index): Row => {
    const { measured, candidates } = spot.matched;
    const faces = candidates.map(({ face }) => words.plain(`face.${face}`));
    const [first, ...others] = faces;
    const face =
      others.length === 0
        ? first!
        : words.plain('advice.place.or', { first: first!, others: formatList(others, locale) });
    return {
      head: index === 0 ? [position] : [],
      cells: [
        textCell(face),
        numberCell(spot.likely.point_m.map((value) => formatNumber(value, 1, locale)).join(' · ')),
        numberCell(formatNumber(measured.delay_s * 1000, 1, locale)),
        numberCell(formatNumber(measured.level_db, 0, locale)),
        textCell(words.say(`advice.place.action.${spot.action}`)),
      ],
    };
  });
}
