import type { Advice, Combination } from '../../advice/advice.ts';
import { areaText, moneyText, predictedText, sentences, squareMetres } from '../advice-phrases.ts';
import type { Context } from '../context.ts';
import type { Block, Inline, Row } from '../document.ts';
import { formatList, formatNumber } from '../format.ts';
import { numberCell, textCell } from '../phrases.ts';
import { shortText } from '../short-text.ts';
import { column, paragraph, subheading, table } from './section.ts';

/** The best sets of options within money and area, with what they are predicted to do; nothing where fewer than two options help. */
export function combinationBlocks(context: Context, advice: Advice): Block[] {
  const { words } = context;
  const { found, reason } = advice.combinations;
  if (advice.options.filter(({ recommended }) => recommended).length < 2) return [];
  const title = subheading('combinations', words.say('advice.combine.title'));
  if (reason === 'too-many-options') return [title, paragraph(words.say('advice.combine.too-many'))];
  if (found.length === 0) return [];
  const limits = limitsOf(context, advice);
  return [
    title,
    paragraph(
      sentences([
        words.say(limits === '' ? 'advice.combine.lead' : 'advice.combine.lead-within', { limits }),
        outcome(context, found),
      ]),
    ),
    setTable(context, found),
    timesTable(context, advice, found),
  ];
}

function limitsOf(context: Context, { combinations }: Advice): string {
  const { words } = context;
  const { budget, free_area_m2 } = combinations;
  const limits = [
    ...(budget === null ? [] : [words.plain('advice.combine.budget', { budget: moneyText(context, budget) })]),
    ...(free_area_m2 === null
      ? []
      : [words.plain('advice.combine.free-area', { area: squareMetres(free_area_m2, words.locale) })]),
  ];
  return formatList(limits, words.locale);
}

function outcome({ words }: Context, found: readonly Combination[]): Inline[] {
  const reached = found.some(({ within_tolerance }) => within_tolerance);
  return words.say(`advice.combine.${reached ? 'reached' : 'not-reached'}`);
}

/** The names of the options in a set, as a list in words; names that hold a comma are parted by semicolons. */
export function setNames(context: Context, set: Combination): string {
  const { options } = context.results.project;
  const names = set.options.map((index) => shortText(options[index]!.name));
  return names.some((name) => name.includes(',')) ? names.join('; ') : formatList(names, context.words.locale);
}

function setTitle(context: Context, set: Combination, found: readonly Combination[]): string {
  const costed = set.cost !== null;
  if (found.length === 1) return context.words.plain('advice.combine.kind.only');
  return context.words.plain(`advice.combine.kind.${set.kind === 'closest' ? 'closest' : costed ? 'cost' : 'area'}`);
}

function setTable(context: Context, found: readonly Combination[]): Block {
  const { words } = context;
  const costs = found.some(({ cost }) => cost !== null);
  const rows = found.map(
    (set): Row => ({
      head: [setTitle(context, set, found)],
      cells: [
        textCell(setNames(context, set)),
        numberCell(formatNumber(set.area_m2, 1, words.locale)),
        ...(costs ? [numberCell(set.cost === null ? null : moneyText(context, set.cost))] : []),
        numberCell(areaText(set.closes_m2, words.locale)),
      ],
    }),
  );
  const title = (key: string) => words.say(`advice.combine.${key}`);
  return table({
    id: 'combination-table',
    caption: title('caption'),
    head: column(title('head')),
    columns: [
      column(title('options')),
      column(title('area'), { unit: 'm²', align: 'end' }),
      ...(costs ? [column(title('cost'), { align: 'end' })] : []),
      column(title('closes'), { unit: 'm²', align: 'end' }),
    ],
    rows,
  });
}

function timesTable(context: Context, advice: Advice, found: readonly Combination[]): Block {
  const { words } = context;
  const time = (seconds: number) => formatNumber(seconds, 2, words.locale);
  const rows = advice.distance.map((wanted): Row => {
    const bands = found.map((set) => set.bands.find(({ centre_hz }) => centre_hz === wanted.centre_hz)!);
    return {
      head: [String(wanted.centre_hz)],
      cells: [
        numberCell(time(wanted.now_s)),
        numberCell(words.plain('advice.range', { low: time(wanted.low_s), high: time(wanted.high_s) })),
        ...bands.map(({ predicted }) => numberCell(predictedText(context, predicted))),
      ],
    };
  });
  return table({
    id: 'combination-times',
    caption: words.say('advice.combine.times'),
    head: column(words.say('advice.distance.band'), { unit: 'Hz', align: 'end' }),
    columns: [
      column(words.say('advice.options.now.measured'), { unit: 's', align: 'end' }),
      column(words.say('advice.distance.range'), { unit: 's', align: 'end' }),
      ...found.map((set) => column(setTitle(context, set, found), { unit: 's', align: 'end' })),
    ],
    rows,
  });
}
