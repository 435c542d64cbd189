import type { Fault } from '../../audio/faults.ts';
import { type Context, figureBlocks, stageName } from '../context.ts';
import type { Block, Inline, Row, Section } from '../document.ts';
import { formatNumber, withUnit } from '../format.ts';
import { numberCell, textCell } from '../phrases.ts';
import type { TakeResult } from '../results.ts';
import { remarksTable } from './remarks.ts';
import { column, paragraph, section, table } from './section.ts';

/** Beyond so many recordings the full list stays in results.json; counts and whatever was set aside are always printed. */
const LISTED = 48;

/** What was recorded, what of it was used, and why the rest was set aside. */
export function takesSection(context: Context): Section {
  const { words, results } = context;
  const used = results.takes.filter((take) => take.used).length;
  const counts = { takes: results.takes.length, used, aside: results.takes.length - used };
  return section(context, 'takes', [
    paragraph(words.say('takes.lead', counts)),
    countTable(context),
    ...asideTable(context),
    ...careTable(context),
    ...remarksTable(context),
    ...figureBlocks(context, 'quality', words.say('takes.quality')),
    ...(results.takes.length <= LISTED ? [listTable(context), fingerprintTable(context)] : []),
    ...(results.takes.length > LISTED ? [paragraph(words.say('takes.fingerprints.elsewhere'))] : []),
  ]);
}

function countTable(context: Context): Block {
  const { words, results } = context;
  const ofAll = (used: number, all: number) => numberCell(words.plain('takes.count.of', { used, all }));
  const rows = results.project.stages.flatMap((stage): Row[] => {
    const takes = results.takes.filter((take) => take.stage === stage.id);
    return [...new Set(takes.map((take) => take.position))].map((position) => {
      const here = takes.filter((take) => take.position === position);
      const responses = here.flatMap((take) => take.responses.map((response) => take.used && response.used));
      return {
        head: [stageName(context, stage.id)],
        cells: [
          textCell(position),
          ofAll(here.filter((take) => take.used).length, here.length),
          ofAll(responses.filter(Boolean).length, responses.length),
        ],
      };
    });
  });
  return table({
    id: 'takes-count',
    caption: words.say('takes.count.caption'),
    head: column(words.say('takes.count.head')),
    columns: [
      column(words.say('takes.count.position')),
      column(words.say('takes.count.takes'), { align: 'end' }),
      column(words.say('takes.count.responses'), { align: 'end' }),
    ],
    rows,
  });
}

function asideTable(context: Context): Block[] {
  const { words, results } = context;
  const rows = results.takes.flatMap((take): Row[] => {
    const whole = take.used ? [] : messages(take.faults.filter((fault) => fault.severity === 'reject'));
    const parts = take.responses
      .filter((response) => take.used && !response.used)
      .map((response) => {
        const time = withUnit(formatNumber(response.onset_s, 1, words.locale), 's');
        return words.plain('takes.aside.response', { time, reason: messages(response.faults).join(' ') });
      });
    const reasons = [...whole, ...parts];
    if (reasons.length === 0 && take.used) return [];
    return [fileRow(context, take, reasons)];
  });
  if (rows.length === 0) return [paragraph(words.say('takes.nothing-aside'))];
  return [faultTable(context, { id: 'takes-aside', caption: words.say('takes.aside.caption'), rows })];
}

function careTable(context: Context): Block[] {
  const { words, results } = context;
  const rows = results.takes.flatMap((take): Row[] => {
    const faults = take.used ? take.faults.filter((fault) => fault.severity === 'warn') : [];
    const parts = take.used
      ? take.responses.filter((response) => response.used).flatMap((response) => response.faults)
      : [];
    const reasons = [...new Set(messages([...faults, ...parts.filter((fault) => fault.severity === 'warn')]))];
    return reasons.length === 0 ? [] : [fileRow(context, take, reasons)];
  });
  if (rows.length === 0) return [];
  return [faultTable(context, { id: 'takes-care', caption: words.say('takes.care.caption'), rows })];
}

function faultTable(context: Context, parts: { id: string; caption: Inline[]; rows: Row[] }): Block {
  const { words } = context;
  return table({
    ...parts,
    head: column(words.say('takes.aside.head')),
    columns: [column(words.say('takes.aside.stage')), column(words.say('takes.aside.reason'))],
  });
}

function listTable(context: Context): Block {
  const { words, results } = context;
  const rows = results.takes.map(
    (take): Row => ({
      head: [take.file],
      cells: [
        textCell(take.position),
        textCell(words.say(`kind.${take.kind ?? 'unknown'}`)),
        numberCell(take.seconds === null ? null : formatNumber(take.seconds, 1, words.locale)),
        numberCell(take.rate_hz === null ? null : formatNumber(take.rate_hz / 1000, 1, words.locale)),
        { text: words.say(`takes.list.${take.used ? 'used' : 'unused'}`), tone: take.used ? 'text' : 'verdict-open' },
      ],
    }),
  );
  return table({
    id: 'takes-list',
    caption: words.say('takes.list.caption'),
    head: column(words.say('takes.aside.head')),
    columns: [
      column(words.say('takes.count.position')),
      column(words.say('takes.list.kind')),
      column(words.say('takes.list.length'), { unit: 's', align: 'end' }),
      column(words.say('takes.list.rate'), { unit: 'kHz', align: 'end' }),
      column(words.say('takes.list.status')),
    ],
    rows,
  });
}

/** Which recordings the report rests on, to the bit: SHA-256 (FIPS 180-4) of every file as it was read. */
function fingerprintTable(context: Context): Block {
  const { words, results } = context;
  return table({
    id: 'takes-fingerprints',
    caption: words.say('takes.fingerprints.caption'),
    head: column(words.say('takes.aside.head')),
    columns: [column(['SHA-256'])],
    rows: results.takes.map(({ file, sha256 }): Row => {
      return { head: [file], cells: [sha256 === null ? numberCell(null) : textCell(sha256)] };
    }),
  });
}

function fileRow(context: Context, take: TakeResult, reasons: string[]): Row {
  return { head: [take.file], cells: [textCell(stageName(context, take.stage)), textCell(reasons.join(' '))] };
}

function messages(faults: Fault[]): string[] {
  return [
    ...new Set(faults.map((fault) => fault.message.trim()).map((text) => (/[.!?]$/.test(text) ? text : `${text}.`))),
  ];
}
