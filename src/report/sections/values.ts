import type { BandQuantity } from '../../room/reading.ts';
import type { Centre } from '../../statistics/finding.ts';
import { type Context, OCTAVES_HZ, stageName, stageValue } from '../context.ts';
import type { Cell, Row, Section, Table } from '../document.ts';
import { estimateText, numberCell, sharedReasons, unitOf } from '../phrases.ts';
import { column, paragraph, Remarks, section, table } from './section.ts';

const GROUPS = {
  decay: ['edt_s', 't20_s', 't30_s', 'tfull_s'],
  clarity: ['c50_db', 'c80_db', 'd50', 'ts_s', 'late_level_db'],
} as const satisfies Record<string, BandQuantity[]>;

const CENTRES: Centre[] = [...OCTAVES_HZ, 'mid'];

/** Every value of every stage in octave bands, each with its uncertainty or the reason it is missing. */
export function valuesSection(context: Context): Section {
  const stages = context.results.stages.map((stage) => stage.id);
  return section(context, 'values', [
    paragraph(context.words.say('values.lead')),
    ...stages.flatMap((stage) => [groupTable(context, stage, 'decay'), groupTable(context, stage, 'clarity')]),
  ]);
}

function groupTable(context: Context, stage: string, group: keyof typeof GROUPS): Table {
  const { words } = context;
  const quantities: readonly BandQuantity[] = GROUPS[group];
  const values = quantities.flatMap((quantity) =>
    CENTRES.map((centre_hz) => stageValue(context, { stage, quantity, centre_hz })),
  );
  const remarks = new Remarks(sharedReasons(values.filter((value) => value !== null)));
  const cell = (quantity: BandQuantity, centre_hz: Centre): Cell => {
    const value = stageValue(context, { stage, quantity, centre_hz });
    return value ? remarks.mark(numberCell(estimateText(value, words.locale)), value.reasons) : numberCell(null);
  };
  const rows = CENTRES.map((centre_hz): Row => {
    const head = centre_hz === 'mid' ? words.say('values.mid') : [String(centre_hz)];
    return { head, cells: quantities.map((quantity) => cell(quantity, centre_hz)) };
  }).filter((row, index) => CENTRES[index] !== 'mid' || row.cells.some((each) => each.tone === 'number'));
  return table({
    id: `values-${group}--${stage}`,
    caption: words.say(`values.${group}`, { stage: stageName(context, stage) }),
    head: column(words.say('values.band'), { unit: 'Hz', align: 'end' }),
    columns: quantities.map((quantity) =>
      column(words.say(`quantity.${quantity}`), { unit: unitOf(quantity), align: 'end' }),
    ),
    rows,
    remarks: remarks.list(),
  });
}
