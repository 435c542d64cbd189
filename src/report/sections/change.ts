import type { Change } from '../../statistics/finding.ts';
import { type Claim, changeClaim, headlineClaim } from '../claim.ts';
import { bestDecayChange, type Context, figureBlocks, OCTAVES_HZ, quotedStage, stageName } from '../context.ts';
import type { Block, CellTone, Row, Section } from '../document.ts';
import { headlineSentence } from '../headline.ts';
import {
  bandsText,
  numberCell,
  percentTexts,
  reasonsText,
  sharedQuantity,
  sharedReasons,
  textCell,
  typeset,
} from '../phrases.ts';
import { settleBlocks } from './planning.ts';
import { column, paragraph, Remarks, section, subheading, table } from './section.ts';

/** More steps than these are told by the table alone. */
const MOST_STEPS = 5;

/** Every comparison, and the one of the cover band by band; null where there is nothing to compare. */
export function changeSection(context: Context): Section | null {
  const { words, primary, results } = context;
  if (!primary) return null;
  return section(context, 'change', [
    paragraph(headlineSentence(context, primary), 'lead'),
    ...reservations(context, primary),
    ...warnings(context),
    ...figureBlocks(context, 'change-by-band', words.say('change.figure'), primary),
    bandTable(context, primary),
    paragraph(words.say('change.correction'), 'small'),
    ...settleBlocks(context),
    ...(results.changes.length > 1
      ? [
          ...comparisons(context),
          ...figureBlocks(context, 'progress', words.say('change.progress')),
          ...stepFigures(context, primary),
        ]
      : []),
  ]);
}

/** How a verdict is set: a change stands out, no change keeps quiet, what is open says so. */
export function claimTone(claim: Claim): CellTone {
  if (claim === 'reduced' || claim === 'increased') return 'verdict-change';
  return claim === 'open' ? 'verdict-open' : 'verdict-none';
}

function bandTable(context: Context, change: Change): Block {
  const { words } = context;
  const { locale } = words;
  const values = OCTAVES_HZ.map((centre_hz) => bestDecayChange(change, centre_hz));
  const found = values.filter((value) => value !== null).map((value) => ({ ...value, value: value.difference }));
  const remarks = new Remarks(sharedReasons(found));
  const estimate = sharedQuantity(values.map((value) => value?.quantity ?? null));
  const rows = OCTAVES_HZ.map((centre_hz, index): Row => {
    const value = values[index]!;
    const claim = value ? changeClaim(value) : 'open';
    const percent = value && percentTexts(value, locale);
    const span = percent && words.plain('change.span', { low: percent.low, high: percent.high });
    const noticed = claim === 'open' || !value ? '–' : words.plain(`change.noticeable.${value.noticeable}`);
    return {
      head: [String(centre_hz)],
      cells: [
        ...(estimate ? [] : [textCell(value ? words.say(`quantity.${value.quantity}`) : '–')]),
        numberCell(percent?.value ?? null),
        numberCell(span ?? null),
        remarks.mark({ text: words.say(`change.verdict-time.${claim}`), tone: claimTone(claim) }, value?.reasons ?? []),
        textCell(noticed),
      ],
    };
  });
  return table({
    id: `change-table--${change.from}--${change.to}`,
    caption: words.say('change.caption', {
      from: stageName(context, change.from),
      to: stageName(context, change.to),
      estimate: estimate ? words.plain(`estimate.${estimate}`) : words.plain('estimate.several'),
    }),
    head: column(words.say('change.band'), { unit: 'Hz', align: 'end' }),
    columns: [
      ...(estimate ? [] : [column(words.say('decay.table.estimate'))]),
      column(words.say('change.percent'), { align: 'end' }),
      column(words.say('change.interval'), { align: 'end' }),
      column(words.say('change.verdict')),
      column(words.say('change.noticed')),
    ],
    rows,
    remarks: remarks.list(),
  });
}

function comparisons(context: Context): Block[] {
  const { words, results } = context;
  const remarks = new Remarks();
  const bandsOf = (change: Change) =>
    change.headline.bands_hz.length > 0 ? bandsText(change.headline.bands_hz, words) : null;
  const [shared, ...others] = new Set(results.changes.map(bandsOf).filter((bands) => bands !== null));
  const uniform = others.length === 0;
  const rows = results.changes.map((change): Row => {
    const claim = headlineClaim(change.headline);
    const percent = percentTexts(change.headline, words.locale);
    const span = percent && words.plain('change.span', { low: percent.low, high: percent.high });
    const verdict = { text: words.say(`change.verdict-time.${claim}`), tone: claimTone(claim) };
    return {
      head: words.say('change.comparisons.pair', {
        from: stageName(context, change.from),
        to: stageName(context, change.to),
      }),
      cells: [
        ...(uniform ? [] : [textCell(bandsOf(change) ?? '–')]),
        numberCell(percent?.value ?? null),
        numberCell(span ?? null),
        remarks.mark(verdict, change.headline.reasons),
      ],
    };
  });
  return [
    table({
      id: 'comparisons',
      caption: words.say('change.comparisons.caption', {
        bands: shared ?? '',
        uniform: uniform && shared ? 'yes' : 'no',
      }),
      head: column(words.say('change.comparisons.head')),
      columns: [
        ...(uniform ? [] : [column(words.say('change.comparisons.bands'))]),
        column(words.say('change.percent'), { align: 'end' }),
        column(words.say('change.interval'), { align: 'end' }),
        column(words.say('change.verdict')),
      ],
      rows,
      remarks: remarks.list(),
    }),
  ];
}

/** Each step by itself, band by band, while the steps are few. */
function stepFigures(context: Context, primary: Change): Block[] {
  const steps = context.results.changes.filter((change) => change !== primary);
  if (steps.length > MOST_STEPS) return [];
  const figures = steps.flatMap((change) => figureBlocks(context, 'change-by-band', [], change));
  return figures.length === 0 ? [] : [subheading('steps', context.words.say('change.steps')), ...figures];
}

/** What the analysis adds to the answer: bands left out, two slopes, one position. */
function reservations(context: Context, change: Change): Block[] {
  const reasons = reasonsText(change.headline.reasons);
  return reasons === '' ? [] : [paragraph(context.words.say('change.with', { reasons }), 'small')];
}

/** What else differs between two stages, said plainly: such a change is not the treatment's alone. */
function warnings(context: Context): Block[] {
  const { words, results } = context;
  return results.changes
    .filter((change) => change.warnings.length > 0)
    .map((change) => ({
      kind: 'note',
      tone: 'caution',
      title: words.say('change.also', {
        from: quotedStage(context, change.from),
        to: quotedStage(context, change.to),
      }),
      text: change.warnings.map((warning) => [typeset(warning)]),
    }));
}
