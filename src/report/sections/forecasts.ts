import type { Advice, Forecast, ForecastReason } from '../../advice/advice.ts';
import { areaText, moneyText, predictedText } from '../advice-phrases.ts';
import type { Context } from '../context.ts';
import type { Block, Cell, Row } from '../document.ts';
import { formatList, formatNumber } from '../format.ts';
import { bandsList, numberCell, textCell } from '../phrases.ts';
import { shortText } from '../short-text.ts';
import { column, paragraph, subheading, table } from './section.ts';

/** Side by side in one table of predicted times; the best come first. */
const MOST_BESIDE = 4;
/** Gains are told for this much money, so that the figures are of a size one can read. */
const MONEY_STEP = 100;
/** Reasons that stand for the whole room: the lead has said them, no cell repeats them. */
const OF_THE_ROOM: readonly ForecastReason[] = [
  'not-measured',
  'no-target',
  'target-met',
  'too-dead-already',
  'unclear',
];

/** The listed options with what each is predicted to do; generic absorbers where none is listed and the room calls for some. */
export function forecastBlocks(context: Context, advice: Advice): Block[] {
  const { options, generic } = advice;
  if (options.length > 0) return optionBlocks(context, advice);
  return generic.length > 0 ? genericBlocks(context, generic) : [];
}

function optionBlocks(context: Context, advice: Advice): Block[] {
  const { words } = context;
  const { options } = advice;
  const ranked = advice.ranked_by ?? 'none';
  const times = options.filter(({ bands }) => bands.some(({ predicted }) => predicted !== null));
  const beside = times.slice(0, MOST_BESIDE);
  return [
    subheading('options', words.say('advice.options.title')),
    paragraph(words.say(`advice.options.lead.${ranked}`)),
    optionTable(context, advice),
    ...(beside.length > 0 ? [timesTable(context, beside)] : []),
    ...(times.length > 0 ? [paragraph(words.say('advice.options.gap'), 'small')] : []),
  ];
}

function optionTable(context: Context, advice: Advice): Block {
  const { words } = context;
  const { options } = advice;
  const { locale } = words;
  const costs = options.some(({ cost }) => cost !== null);
  const judged = options.some(({ closes_m2 }) => closes_m2 !== null);
  const amount = (value: number | null) => numberCell(value === null ? null : areaText(value, locale));
  const rows = options.map(
    (option): Row => ({
      head: [shortText(option.name)],
      cells: [
        ...(advice.ranked_by ? [numberCell(option.rank === null ? null : String(option.rank))] : []),
        numberCell(option.area_m2 === null ? null : formatNumber(option.area_m2, 1, locale)),
        ...(costs ? [numberCell(option.cost === null ? null : moneyText(context, option.cost))] : []),
        ...(judged
          ? [
              amount(option.closes_m2),
              amount(option.closes_per_m2),
              ...(costs ? [amount(option.closes_per_cost === null ? null : option.closes_per_cost * MONEY_STEP)] : []),
            ]
          : []),
        verdictCell(context, option, advice),
      ],
    }),
  );
  const title = (key: string) => words.say(`advice.options.${key}`);
  return table({
    id: 'option-table',
    caption: words.say(`advice.options.caption.${advice.ranked_by ?? 'none'}`),
    head: column(title('head')),
    columns: [
      ...(advice.ranked_by ? [column(title('rank'), { align: 'end' })] : []),
      column(title('area'), { unit: 'm²', align: 'end' }),
      ...(costs ? [column(title('cost'), { align: 'end' })] : []),
      ...(judged
        ? [
            column(title('closes'), { unit: 'm²', align: 'end' }),
            column(title('per-area'), { align: 'end' }),
            ...(costs
              ? [
                  column(words.say('advice.options.per-cost', { amount: moneyText(context, MONEY_STEP) }), {
                    unit: 'm²',
                    align: 'end',
                  }),
                ]
              : []),
          ]
        : []),
      column(title('verdict')),
    ],
    rows,
  });
}

function verdictCell(context: Context, option: Forecast, advice: Advice): Cell {
  const { words } = context;
  if (option.recommended) {
    const thin = option.thin_for_hz.length > 0;
    const bands = bandsList(option.thin_for_hz, words);
    return { text: words.say(`advice.reason.${thin ? 'helps-thin' : 'helps'}`, { bands }), tone: 'text' };
  }
  const reasons = option.reasons.filter((reason) => !OF_THE_ROOM.includes(reason));
  if (reasons.length === 0) {
    const key =
      advice.status === 'no-target' ? 'unjudged' : advice.status === 'not-measured' ? 'unmeasured' : 'not-called-for';
    return { text: words.say(`advice.reason.${key}`), tone: 'quiet' };
  }
  const said = reasons.map((reason) =>
    words.plain(`advice.reason.${reason}`, {
      bands: bandsList(reason === 'overshoots' ? option.overshoots_hz : option.thin_for_hz, words),
    }),
  );
  return textCell(formatList(said, words.locale));
}

function timesTable(context: Context, options: readonly Forecast[]): Block {
  const { words } = context;
  const { advice } = context.results;
  const target = advice?.target.ok ? advice.target.centre : [];
  const time = (seconds: number) => formatNumber(seconds, 2, words.locale);
  const centres = options[0]!.bands.map(({ centre_hz }) => centre_hz);
  const rows = centres.flatMap((centre_hz, index): Row[] => {
    const bands = options.map(({ bands }) => bands[index]!);
    if (bands.every(({ predicted }) => predicted === null)) return [];
    const wanted = target.find((band) => band.centre_hz === centre_hz);
    return [
      {
        head: [String(centre_hz)],
        cells: [
          numberCell(time(bands[0]!.now_s)),
          ...(target.length > 0
            ? [
                numberCell(
                  wanted ? words.plain('advice.range', { low: time(wanted.low_s), high: time(wanted.high_s) }) : null,
                ),
              ]
            : []),
          ...bands.map(({ predicted }) => numberCell(predicted && predictedText(context, predicted))),
        ],
      },
    ];
  });
  const from = advice?.forecast_from === 'surfaces' ? 'surfaces' : 'measured';
  return table({
    id: 'option-times',
    caption: words.say('advice.options.times'),
    head: column(words.say('advice.distance.band'), { unit: 'Hz', align: 'end' }),
    columns: [
      column(words.say(`advice.options.now.${from}`), { unit: 's', align: 'end' }),
      ...(target.length > 0 ? [column(words.say('advice.distance.range'), { unit: 's', align: 'end' })] : []),
      ...options.map(({ name }) => column(shortText(name), { unit: 's', align: 'end' })),
    ],
    rows,
  });
}

function genericBlocks(context: Context, generic: readonly Forecast[]): Block[] {
  const { words } = context;
  const { locale } = words;
  const rows = generic.map(
    (entry): Row => ({
      head: [entry.name],
      cells: [
        numberCell(entry.area_m2 === null ? null : formatNumber(entry.area_m2, 1, locale)),
        numberCell(entry.reach && formatNumber(entry.reach.depth_m * 1000, 0, locale)),
        numberCell(entry.closes_m2 === null ? null : areaText(entry.closes_m2, locale)),
        numberCell(entry.closes_per_m2 === null ? null : areaText(entry.closes_per_m2, locale)),
        textCell(words.say(`advice.generic.${genericNote(entry)}`)),
      ],
    }),
  );
  const title = (key: string) => words.say(`advice.generic.${key}`);
  return [
    subheading('options', title('title')),
    paragraph(title('lead')),
    table({
      id: 'generic-table',
      caption: title('caption'),
      head: column(title('head')),
      columns: [
        column(title('area'), { unit: 'm²', align: 'end' }),
        column(title('depth'), { unit: 'mm', align: 'end' }),
        column(title('closes'), { unit: 'm²', align: 'end' }),
        column(title('per-area'), { align: 'end' }),
        column(title('note')),
      ],
      rows,
    }),
    timesTable(context, generic.slice(0, MOST_BESIDE)),
    paragraph(words.say('advice.options.gap'), 'small'),
  ];
}

function genericNote({ reasons }: Forecast): string {
  if (reasons.includes('stopped-before-too-dead')) return 'stopped';
  return reasons.includes('limited-by-area') ? 'limited' : 'reaches';
}
