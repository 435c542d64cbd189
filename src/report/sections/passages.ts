import type { Passage } from '../../audio/passage.ts';
import { type Context, OCTAVES_HZ, stageName } from '../context.ts';
import type { Block, Row, Section } from '../document.ts';
import { formatNumber, formatSigned, withUnit } from '../format.ts';
import { numberCell, reasonsText, textCell } from '../phrases.ts';
import type { ChangeResult, PassageChange, TakeResult } from '../results.ts';
import { column, paragraph, Remarks, section, table } from './section.ts';

type PassageTake = TakeResult & { passage: Passage };

/** Speech or music as recorded in the room: loudness, pauses, colour, and the clips to compare by ear; null without any. */
export function passagesSection(context: Context): Section | null {
  const { words, results } = context;
  const takes = results.takes.filter((take): take is PassageTake => take.used && take.passage !== undefined);
  if (takes.length === 0) return null;
  const change = changeWithPassages(context);
  const heard = results.listening?.some(({ matched_by }) => matched_by === 'loudness');
  return section(context, 'passages', [
    paragraph(words.say('passages.lead')),
    takeTable(context, takes),
    ...(change
      ? [
          ...pauses(context, change.passages),
          ...change.passages.map((passage) => colourTable(context, change, passage)),
        ]
      : [paragraph(words.say('passages.no-pair'))]),
    ...(heard ? [paragraph(words.say('passages.listen'))] : []),
    {
      kind: 'note',
      tone: 'limit',
      title: words.say('passages.limit.title'),
      text: ['same', 'pauses', 'colour', 'interval'].map((key) => words.say(`passages.limit.${key}`)),
    },
  ]);
}

/** The comparison the report turns on, else the first that has passages of both stages. */
function changeWithPassages({ primary, results }: Context): (ChangeResult & { passages: PassageChange[] }) | null {
  const having = results.changes.filter(
    (change): change is ChangeResult & { passages: PassageChange[] } => (change.passages ?? []).length > 0,
  );
  return having.find(({ from, to }) => from === primary?.from && to === primary.to) ?? having[0] ?? null;
}

function takeTable(context: Context, takes: PassageTake[]): Block {
  const { words } = context;
  const remarks = new Remarks();
  const number = (value: number | null) => numberCell(value === null ? null : formatNumber(value, 1, words.locale));
  const rows = takes.map((take): Row => {
    const { integrated_lufs, short_term_max_lufs, pause_level_db, pause_refusal } = take.passage;
    const pause = remarks.mark(number(pause_level_db), pause_refusal === null ? [] : [pause_refusal]);
    return {
      head: [stageName(context, take.stage)],
      cells: [textCell(take.position), number(integrated_lufs), number(short_term_max_lufs), pause],
    };
  });
  return table({
    id: 'passages-takes',
    caption: words.say('passages.caption'),
    head: column(words.say('takes.count.head')),
    columns: [
      column(words.say('takes.count.position')),
      column(words.say('passages.loudness'), { unit: 'LUFS', align: 'end' }),
      column(words.say('passages.loudest'), { unit: 'LUFS', align: 'end' }),
      column(words.say('passages.pause'), { unit: 'dB', align: 'end' }),
    ],
    rows,
    remarks: [{ mark: null, text: words.say('passages.remark') }, ...remarks.list()],
  });
}

function pauses({ words }: Context, passages: PassageChange[]): Block[] {
  const items = passages.map(({ position, pause_change_db, pause_refusal }) => {
    if (pause_change_db === null) {
      return words.say('passages.pause-open', { position, reason: reasonsText([pause_refusal ?? '']) });
    }
    const level = withUnit(formatNumber(Math.abs(pause_change_db), 1, words.locale), 'dB');
    return words.say(`passages.pause-${pause_change_db < 0 ? 'lower' : 'higher'}`, { position, level });
  });
  return [{ kind: 'list', ordered: false, items }];
}

/** One-third octaves by octave, each row the three that make it up; nominal midbands of IEC 61260-1 in Hz. */
const THIRDS_HZ: Record<(typeof OCTAVES_HZ)[number], [lower: number, middle: number, upper: number]> = {
  63: [50, 63, 80],
  125: [100, 125, 160],
  250: [200, 250, 315],
  500: [400, 500, 630],
  1000: [800, 1000, 1250],
  2000: [1600, 2000, 2500],
  4000: [3150, 4000, 5000],
  8000: [6300, 8000, 10_000],
};

function colourTable(
  context: Context,
  { from, to }: { from: string; to: string },
  { position, spectrum }: PassageChange,
): Block {
  const { words } = context;
  const rows = OCTAVES_HZ.map((octave_hz): Row => {
    const cells = THIRDS_HZ[octave_hz].map((centre_hz) => {
      const band = spectrum.find((one) => one.centre_hz === centre_hz);
      return numberCell(band ? formatSigned(band.difference_db, 1, words.locale) : null);
    });
    return { head: [String(octave_hz)], cells };
  });
  return table({
    id: `passages-colour-${position}`,
    caption: words.say('passages.colour', { from: stageName(context, from), to: stageName(context, to), position }),
    head: column(words.say('change.band'), { unit: 'Hz', align: 'end' }),
    columns: ['lower', 'middle', 'upper'].map((third) =>
      column(words.say(`passages.third.${third}`), { unit: 'dB', align: 'end' }),
    ),
    rows,
  });
}
