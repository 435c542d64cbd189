import type { EffectBand, ShortfallReason, TreatmentEffect } from '../../advice/advice.ts';
import { effectSteps } from '../../advice/effect-steps.ts';
import { predictedText, softCell, spanText } from '../advice-phrases.ts';
import { type Context, figureBlocks, stageName } from '../context.ts';
import type { Block, Inline, Row, Section, Table } from '../document.ts';
import { formatList, formatNumber } from '../format.ts';
import { bandsList, numberCell, textCell } from '../phrases.ts';
import { shortText } from '../short-text.ts';
import { bareRoomBlocks } from './bare-room.ts';
import { effectSummary } from './effect-summary.ts';
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
    effectSummary(context, effects, steps),
    ...figureBlocks(context, 'gain-by-band', words.say('effect.figure')),
    ...stepTables(context, steps.slice(0, MOST_STEPS)),
    ...bareRoomBlocks(context, results.advice!),
  ]);
}

/** A table for each step that has an area or data to be held against; those that have neither share one. */
function stepTables(context: Context, steps: readonly TreatmentEffect[]): Block[] {
  const plain = steps.every(({ area_m2, bands }) => area_m2 === null && bands.every((band) => band.predicted === null));
  if (plain && steps.length > 1) return [sharedTable(context, steps)];
  return steps.flatMap((effect) => stepBlocks(context, effect, steps.length > 1));
}

function sharedTable(context: Context, steps: readonly TreatmentEffect[]): Block {
  const { words } = context;
  const centres = steps[0]!.bands.map(({ centre_hz }) => centre_hz);
  const rows = centres.flatMap((centre_hz, index): Row[] => {
    const bands = steps.map((step) => step.bands[index]!);
    if (bands.every(({ gain_m2 }) => gain_m2 === null)) return [];
    return [{ head: [String(centre_hz)], cells: bands.map((band) => gainCell(context, band)) }];
  });
  return table({
    id: 'effect-table',
    caption: words.say('effect.caption-all'),
    head: column(words.say('effect.band'), { unit: 'Hz', align: 'end' }),
    columns: steps.map((step) => column(stageName(context, step.to), { unit: 'm²', align: 'end' })),
    rows,
    remarks: remarksOf(
      context,
      steps.flatMap(({ bands }) => bands.filter(({ gain_m2 }) => gain_m2 !== null)),
    ),
  });
}

function gainCell({ words }: Context, { gain_m2, low_m2, high_m2, claim }: EffectBand) {
  const claimed = claim === 'gained' || claim === 'lost';
  return softCell(spanText({ value: gain_m2, low: low_m2, high: high_m2 }, words.locale), claimed);
}

function remarksOf({ words }: Context, measured: readonly EffectBand[]): Table['remarks'] {
  const quiet = measured.some(({ claim }) => claim === 'none-detected');
  const airless = measured.some(({ air_term }) => !air_term);
  return [
    ...(quiet ? [{ mark: null, text: words.say('effect.quiet') }] : []),
    ...(airless ? [{ mark: null, text: words.say('effect.no-air') }] : []),
  ];
}

/** The products of an effect in words; where none is listed, the stage they came with. */
function productsText(context: Context, effect: TreatmentEffect): string {
  return shortText(formatList(effect.treatments, context.words.locale)) || stageName(context, effect.to);
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
        gainCell(context, band),
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
  return table({
    id: `effect-table--${effect.from}--${effect.to}`,
    caption: words.say('effect.caption', { what: productsText(context, effect) }),
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
    remarks: remarksOf(context, measured),
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
  const what = productsText(context, effect);
  return [{ kind: 'note', tone: 'remark', title: words.say('effect.less.title', { what }), text }];
}

function surplus(words: Context['words'], effect: TreatmentEffect): Block[] {
  const more = effect.bands.filter(({ versus }) => versus === 'more').map(({ centre_hz }) => centre_hz);
  return more.length === 0 ? [] : [paragraph(words.say('effect.more', { bands: bandsList(more, words) }))];
}
