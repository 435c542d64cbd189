import type { BandQuantity } from '../../room/reading.ts';
import type { Change } from '../../statistics/finding.ts';
import { changeClaim } from '../claim.ts';
import { type Context, changeValue, figureBlocks, OCTAVES_HZ, stageName } from '../context.ts';
import type { Cell, Paragraph, Row, Section, Table } from '../document.ts';
import { levelValues } from '../level-phrases.ts';
import { differenceTexts, numberCell } from '../phrases.ts';
import { column, paragraph, section, table } from './section.ts';
import { speechBlocks } from './speech.ts';

const SHOWN = ['c50_db', 'c80_db', 'late_level_db'] as const satisfies BandQuantity[];

/** Clarity and the level of the late sound by band, and what changed; null where there is neither chart nor comparison. */
export function claritySection(context: Context): Section | null {
  const { words, primary } = context;
  const figures = (['clarity-by-band', 'late-level'] as const).flatMap((kind) =>
    figureBlocks(context, kind, words.say('clarity.figure'), primary ?? undefined),
  );
  if (figures.length === 0 && !(primary && anyShown(primary))) return null;
  return section(context, 'clarity', [
    paragraph(words.say('clarity.lead')),
    ...figures,
    ...(primary && anyShown(primary) ? [changeTable(context, primary)] : []),
    ...(primary ? levelInWords(context, primary) : []),
    ...speechBlocks(context),
  ]);
}

/** The octave whose late level is put into words: where speech is best understood, and every source is loud enough. */
const TOLD_HZ = 1000;

/** What the change of the late level means in amplitude, energy and loudness; nothing where no change is claimed. */
function levelInWords(context: Context, change: Change): Paragraph[] {
  const { words } = context;
  const value = changeValue(change, 'late_level_db', TOLD_HZ);
  const claim = value && changeClaim(value);
  if (!value || value.difference === null || (claim !== 'reduced' && claim !== 'increased')) return [];
  return [paragraph(words.say('clarity.in-words', levelValues(value.difference, words.locale)))];
}

function anyShown(change: Change): boolean {
  return SHOWN.some((quantity) =>
    OCTAVES_HZ.some((centre_hz) => (changeValue(change, quantity, centre_hz)?.difference ?? null) !== null),
  );
}

function changeTable(context: Context, change: Change): Table {
  const { words } = context;
  const rows = OCTAVES_HZ.map(
    (centre_hz): Row => ({
      head: [String(centre_hz)],
      cells: SHOWN.flatMap((quantity) => changeCells(context, change, { quantity, centre_hz })),
    }),
  );
  return table({
    id: `clarity-table--${change.from}--${change.to}`,
    caption: words.say('clarity.caption', { from: stageName(context, change.from), to: stageName(context, change.to) }),
    head: column(words.say('change.band'), { unit: 'Hz', align: 'end' }),
    columns: SHOWN.flatMap((quantity) => [
      column(words.say(`quantity.${quantity}`), { unit: 'dB', align: 'end' }),
      column(words.say('change.interval'), { unit: 'dB', align: 'end' }),
    ]),
    rows,
    remarks: [{ mark: null, text: words.say('clarity.remark') }],
  });
}

function changeCells(
  context: Context,
  change: Change,
  place: { quantity: BandQuantity; centre_hz: number },
): [Cell, Cell] {
  const { words } = context;
  const value = changeValue(change, place.quantity, place.centre_hz);
  const texts = value && differenceTexts(value, words.locale);
  if (!value || !texts) return [numberCell(null), numberCell(null)];
  const claim = changeClaim(value);
  const stands = claim === 'reduced' || claim === 'increased';
  const span = words.plain('change.span', { low: texts.low, high: texts.high });
  const text: Cell['text'] = stands ? [{ kind: 'strong', text: [texts.value] }] : [texts.value];
  return [{ text, tone: 'number' }, numberCell(span)];
}
