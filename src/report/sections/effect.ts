import type { EffectBand, ShortfallReason, TreatmentEffect } from '../../advice/advice.ts';
import { effectSteps } from '../../advice/effect-steps.ts';
import { moneyText, predictedText, softCell, spanText } from '../advice-phrases.ts';
import { type Context, figureBlocks, stageName } from '../context.ts';
import type { Block, Inline, Row, Section } from '../document.ts';
import { formatList, formatNumber, formatSignificant } from '../format.ts';
import { bandsList, numberCell, textCell } from '../phrases.ts';
import { shortText } from '../short-text.ts';
import { bareRoomBlocks } from './bare-room.ts';
import { column, paragraph, section, subheading, table } from './section.ts';

/** More steps than these are told by the first table alone. */
const MOST_STEPS = 4;
const REASONS: readonly ShortfallReason[] = ['thin-layer', 'modal-band', 'field-not-diffuse', 'shielded-place'];

/** What each treatment took out of the room, beside what its data promised; null where no absorption can be reckoned. */
export function effectSection(context: Context): Section | null {
  const { words, results } = context;
  const effects = (results.advice?.effects ?? []).filter(({ bands }) => bands.some(({ gain_m2 }) => gain_m2 !== null));
  if (effects.length === 0) return null;
  const steps = effectSteps(effects);
  return section(context, 'effect', [
    paragraph(words.say('effect.lead')),
    summaryTable(context, effects, steps),
    ...figureBlocks(context, 'gain-by-band', words.say('effect.figure')),
    ...steps.slice(0, MOST_STEPS).flatMap((effect) => stepBlocks(context, effect, steps.length > 1)),
    ...bareRoomBlocks(context, results.advice!),
  ]);
}

function summaryTable(context: Context, effects: readonly TreatmentEffect[], steps: readonly TreatmentEffect[]): Block {
  const { words } = context;
  const costs = effects.some(({ cost }) => cost !== null);
  const rows = effects.map((effect): Row => {
    const mid = midGain(effect);
    const per = mid && effect.area_m2 !== null ? scaled(mid, 1 / effect.area_m2) : null;
    const whole = !steps.includes(effect);
    return {
      head: whole
        ? words.say('effect.summary.whole', {
            from: stageName(context, effect.from),
            to: stageName(context, effect.to),
          })
        : [stageName(context, effect.to)],
      cells: [
        numberCell(effect.area_m2 === null ? null : formatNumber(effect.area_m2, 1, words.locale)),
        softCell(mid && spanText(mid, words.locale), mid?.claimed ?? false),
        softCell(per && spanText(per, words.locale), mid?.claimed ?? false),
        ...(costs ? costCells(context, effect) : []),
      ],
    };
  });
  const open = effects.some((effect) => midGain(effect)?.claimed === false);
  return table({
    id: 'effect-summary',
    caption: words.say('effect.summary.caption'),
    head: column(words.say('effect.summary.head')),
    columns: [
      column(words.say('effect.area'), { unit: 'm²', align: 'end' }),
      column(words.say('effect.gained'), { unit: 'm²', align: 'end' }),
      column(words.say('effect.per-area'), { align: 'end' }),
      ...(costs ? ['cost', 'per-cost'].map((key) => column(words.say(`effect.${key}`), { align: 'end' })) : []),
    ],
    rows,
    remarks: open ? [{ mark: null, text: words.say('effect.quiet-mid') }] : [],
  });
}

function costCells(context: Context, effect: TreatmentEffect) {
  const { cost, cost_per_m2 } = effect;
  const money = (amount: number) => moneyText(context, Math.round(amount));
  const per =
    cost_per_m2 === null
      ? null
      : cost_per_m2.high === null
        ? money(cost_per_m2.value)
        : context.words.plain('effect.money-span', {
            value: money(cost_per_m2.value),
            low: formatSignificant(cost_per_m2.low, 2, context.words.locale),
            high: formatSignificant(cost_per_m2.high, 2, context.words.locale),
          });
  return [numberCell(cost === null ? null : moneyText(context, cost)), numberCell(per)];
}

interface MidGain {
  value: number;
  low: number;
  high: number;
  claimed: boolean;
}

/** Mean gain at 500 and 1000 Hz; its interval is the mean of the two, as if they erred alike. */
function midGain(effect: TreatmentEffect): MidGain | null {
  const mid = effect.bands.filter(({ centre_hz }) => centre_hz === 500 || centre_hz === 1000);
  if (mid.length < 2 || mid.some(({ gain_m2 }) => gain_m2 === null)) return null;
  const mean = (of: (band: EffectBand) => number) => (of(mid[0]!) + of(mid[1]!)) / 2;
  return {
    value: mean((band) => band.gain_m2!),
    low: mean((band) => band.low_m2!),
    high: mean((band) => band.high_m2!),
    claimed: mid.every(({ claim }) => claim === 'gained'),
  };
}

function scaled(gain: MidGain, by: number): MidGain {
  return { ...gain, value: gain.value * by, low: gain.low * by, high: gain.high * by };
}

function stepBlocks(context: Context, effect: TreatmentEffect, titled: boolean): Block[] {
  const { words } = context;
  const title = titled ? [subheading(`effect--${effect.to}`, [stageName(context, effect.to)])] : [];
  return [...title, bandTable(context, effect), ...shortfall(context, effect), ...surplus(words, effect)];
}

function bandTable(context: Context, effect: TreatmentEffect): Block {
  const { words } = context;
  const { locale } = words;
  const measured = effect.bands.filter(({ gain_m2 }) => gain_m2 !== null);
  const data = measured.some(({ predicted_gain }) => predicted_gain !== null);
  const area = effect.area_m2;
  const rows = measured.map((band): Row => {
    const claimed = band.claim === 'gained' || band.claim === 'lost';
    const per = { value: band.per_m2, low: band.per_m2_low, high: band.per_m2_high };
    const promised = band.predicted_gain && area !== null ? band.predicted_gain.gain_m2 / area : null;
    return {
      head: [String(band.centre_hz)],
      cells: [
        softCell(spanText({ value: band.gain_m2, low: band.low_m2, high: band.high_m2 }, locale), claimed),
        ...(area === null ? [] : [softCell(spanText(per, locale), claimed)]),
        ...(data
          ? [
              numberCell(promised === null ? null : formatNumber(promised, 2, locale)),
              numberCell(band.predicted && predictedText(context, band.predicted)),
              numberCell(band.measured_s === null ? null : formatNumber(band.measured_s, 2, locale)),
              band.versus === null
                ? { text: ['–'], tone: 'quiet' as const }
                : { ...textCell(words.say(`effect.versus.${band.versus}`)), tone: versusTone(band) },
            ]
          : []),
      ],
    };
  });
  const quiet = measured.some(({ claim }) => claim === 'none-detected');
  const airless = measured.some(({ air_term }) => !air_term);
  return table({
    id: `effect-table--${effect.from}--${effect.to}`,
    caption: words.say('effect.caption', {
      what: shortText(formatList(effect.treatments, locale)) || words.plain('effect.something'),
    }),
    head: column(words.say('effect.band'), { unit: 'Hz', align: 'end' }),
    columns: [
      column(words.say('effect.gained'), { unit: 'm²', align: 'end' }),
      ...(area === null ? [] : [column(words.say('effect.per-area'), { align: 'end' })]),
      ...(data
        ? [
            column(words.say('effect.data'), { align: 'end' }),
            column(words.say('effect.predicted'), { unit: 's', align: 'end' }),
            column(words.say('effect.measured'), { unit: 's', align: 'end' }),
            column(words.say('effect.against')),
          ]
        : []),
    ],
    rows,
    remarks: [
      ...(quiet ? [{ mark: null, text: words.say('effect.quiet') }] : []),
      ...(airless ? [{ mark: null, text: words.say('effect.no-air') }] : []),
    ],
  });
}

function versusTone(band: EffectBand) {
  return band.versus === 'agrees' ? ('verdict-none' as const) : ('verdict-change' as const);
}

/** A product that gave less than its data promise, named with the likely reasons. */
function shortfall(context: Context, effect: TreatmentEffect): Block[] {
  const { words } = context;
  const less = effect.bands.filter(({ versus }) => versus === 'less');
  if (less.length === 0) return [];
  const hz = (bands: readonly EffectBand[]) =>
    bandsList(
      bands.map(({ centre_hz }) => centre_hz),
      words,
    );
  const usual = less.filter(({ usual_gap }) => usual_gap);
  const beyond = less.filter(({ usual_gap }) => !usual_gap);
  const text: Inline[][] = [
    words.say('effect.less.gap', {
      bands: hz(less),
      which: usual.length === 0 ? 'beyond' : beyond.length === 0 ? 'usual' : 'both',
      usual: hz(usual),
      beyond: hz(beyond),
    }),
  ];
  for (const reason of REASONS) {
    const bands = less.filter(({ reasons }) => reasons.includes(reason));
    if (bands.length > 0) text.push(words.say(`effect.reason.${reason}`, { bands: hz(bands) }));
  }
  const what = shortText(formatList(effect.treatments, words.locale)) || words.plain('effect.something');
  return [{ kind: 'note', tone: 'remark', title: words.say('effect.less.title', { what }), text }];
}

function surplus(words: Context['words'], effect: TreatmentEffect): Block[] {
  const more = effect.bands.filter(({ versus }) => versus === 'more').map(({ centre_hz }) => centre_hz);
  return more.length === 0 ? [] : [paragraph(words.say('effect.more', { bands: bandsList(more, words) }))];
}
