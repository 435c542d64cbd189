import type { BandQuantity } from '../../room/reading.ts';
import type { TargetBand } from '../../room/targets.ts';
import type { Centre, StageValue } from '../../statistics/finding.ts';
import {
  bestDecay,
  bestDecayChange,
  type Context,
  coverFigure,
  decayReading,
  figureBlocks,
  OCTAVES_HZ,
  stageName,
  stageValue,
} from '../context.ts';
import type { Block, Cell, Row, Section } from '../document.ts';
import { formatNumber } from '../format.ts';
import { estimateText, numberCell, purposeText, sharedQuantity, sharedReasons, textCell, typeset } from '../phrases.ts';
import { targetStanding } from '../standing.ts';
import { column, paragraph, Remarks, section, table } from './section.ts';

/** Decay time by band before and after, with intervals, and where the last stage stands against the target. */
export function decaySection(context: Context): Section {
  const { words, primary } = context;
  const [figure] = figureBlocks(context, 'decay-by-band', decayReading(context), primary ?? undefined);
  const onCover = coverFigure(context)?.id === figure?.id;
  return section(context, 'decay', [
    paragraph(words.say('decay.lead')),
    ...(figure && !onCover ? [figure] : []),
    targetParagraph(context),
    ...bandTable(context),
  ]);
}

function targetParagraph(context: Context): Block {
  const { words, target, results } = context;
  if (!target.ok) return paragraph(words.say('decay.no-target', { reason: typeset(target.reason) }));
  if (target.basis === 'asked') return paragraph(words.say('decay.target-asked'));
  const purpose = purposeText(results.project.purpose, words);
  return paragraph(words.say('decay.target', { source: target.source, purpose, note: typeset(target.note ?? '') }));
}

/** The stages the table sets side by side: those of the primary comparison, else the last one measured. */
function tableStages(context: Context): string[] {
  const { primary, lastStage } = context;
  if (primary) return [primary.from, primary.to];
  return lastStage === null ? [] : [lastStage];
}

function bandTable(context: Context): Block[] {
  const { words, target } = context;
  const stages = tableStages(context);
  if (stages.length === 0) return [];
  const bands = target.ok ? target.centre : [];
  const quantities = OCTAVES_HZ.map((centre_hz) => bandQuantity(context, stages, centre_hz));
  const estimate = sharedQuantity(quantities);
  const values = OCTAVES_HZ.map((centre_hz, index) =>
    stages.map((stage) => stageValue(context, { stage, quantity: quantities[index]!, centre_hz })),
  );
  const remarks = new Remarks(sharedReasons(values.flat().filter((value) => value !== null)));
  const rows = OCTAVES_HZ.map((centre_hz, index): Row => {
    const quantity = quantities[index]!;
    const band = bands.find((candidate) => candidate.centre_hz === centre_hz);
    return {
      head: [String(centre_hz)],
      cells: [
        ...(estimate ? [] : [textCell(words.say(`quantity.${quantity}`))]),
        ...values[index]!.map((value) => valueCell(value, remarks, words.locale)),
        ...(bands.length > 0 ? targetCells(context, band, stages.at(-1)!) : []),
      ],
    };
  });
  return [
    table({
      id: 'decay-table',
      caption: words.say('decay.table.caption', {
        target: bands.length > 0 ? 'yes' : 'no',
        estimate: words.plain(`estimate.${estimate ?? 'several'}`),
        stages: stages.length,
      }),
      head: column(words.say('decay.table.band'), { unit: 'Hz', align: 'end' }),
      columns: [
        ...(estimate ? [] : [column(words.say('decay.table.estimate'))]),
        ...stages.map((stage) => column(stageName(context, stage), { unit: 's', align: 'end' })),
        ...(bands.length > 0
          ? [
              column(words.say('decay.table.range'), { unit: 's', align: 'end' }),
              column(words.say('decay.table.standing')),
            ]
          : []),
      ],
      rows,
      remarks: [
        ...remarks.list(),
        ...(bands.length > 0 ? [{ mark: null, text: words.say('decay.standing-remark') }] : []),
      ],
    }),
  ];
}

/** The quantity that both stages hold in a band, so that a row compares like with like. */
function bandQuantity(context: Context, stages: string[], centre_hz: Centre): BandQuantity {
  const { primary } = context;
  const change = primary && bestDecayChange(primary, centre_hz);
  const alone = stages.map((stage) => bestDecay(context, stage, centre_hz)).find((value) => value !== null);
  if (change && change.verdict !== 'not-measurable') return change.quantity;
  return alone?.quantity ?? change?.quantity ?? 'tfull_s';
}

function valueCell(value: StageValue | null, remarks: Remarks, locale: string): Cell {
  if (value === null) return numberCell(null);
  return remarks.mark(numberCell(estimateText(value, locale)), value.reasons);
}

function targetCells(context: Context, band: TargetBand | undefined, stage: string): Cell[] {
  const { words } = context;
  if (!band) return [numberCell(null), { text: ['–'], tone: 'quiet' }];
  const value = bestDecay(context, stage, band.centre_hz);
  const standing = value ? targetStanding(value, band) : 'unmeasured';
  const limit = (seconds: number) => formatNumber(seconds, 2, words.locale);
  const range = numberCell(words.plain('decay.table.span', { low: limit(band.low_s), high: limit(band.high_s) }));
  const decided = standing === 'within' || standing === 'above' || standing === 'below';
  return [range, { text: words.say(`decay.standing.${standing}`), tone: decided ? 'verdict-change' : 'verdict-open' }];
}
