import { type Context, stageName } from '../context.ts';
import type { Inline, Row, Section } from '../document.ts';
import { formatDate, formatList, withUnit } from '../format.ts';
import { type Issue, type IssueDifference, issueDifference } from '../issues.ts';
import { bandsList, textCell } from '../phrases.ts';
import { WRITTEN, writtenEstimate } from '../written.ts';
import { column, paragraph, section, table } from './section.ts';

/** Issues listed, the latest first; files named a line, and values told one by one. */
const LISTED = 12;
const NAMED = 4;

/** Every issue of this report with what differs from the one before; null where none is known. */
export function issuesSection(context: Context): Section | null {
  const { words, issues } = context;
  const all = issues?.issues ?? [];
  if (all.length === 0) return null;
  const rows = all
    .map((issue, index) => ({ issue, before: all[index - 1] ?? null }))
    .reverse()
    .slice(0, LISTED)
    .map(
      ({ issue, before }): Row => ({
        head: [String(issue.issue)],
        cells: [textCell(formatDate(issue.date, words.locale)), textCell(told(context, issue, before))],
      }),
    );
  return section(context, 'issues', [
    paragraph(words.say('issues.lead')),
    table({
      id: 'issues-table',
      caption: words.say('issues.caption'),
      head: column(words.say('issues.head')),
      columns: [column(words.say('issues.date')), column(words.say('issues.differs'))],
      rows,
    }),
  ]);
}

function told(context: Context, issue: Issue, before: Issue | null): Inline[] {
  const { words } = context;
  if (before === null) return words.say('issues.first');
  const difference = issueDifference(before, issue, (value) => written(context, value));
  const lines = [
    ...takeLines(context, difference),
    ...verdictLines(context, difference),
    ...valueLines(context, difference),
  ];
  if (lines.length > 0) return [lines.join(' ')];
  return words.say(issue.date === before.date ? 'issues.same' : 'issues.date-only');
}

function takeLines({ words }: Context, difference: IssueDifference): string[] {
  return (['added', 'gone', 'replaced', 'set_aside', 'used_again'] as const).flatMap((kind) => {
    const files = difference[kind];
    if (files.length === 0) return [];
    const more = files.length - NAMED;
    const named = [...files.slice(0, NAMED), ...(more > 0 ? [words.plain('issues.more', { count: more })] : [])];
    return [words.plain(`issues.takes.${kind}`, { count: files.length, files: formatList(named, words.locale) })];
  });
}

function verdictLines(context: Context, { verdicts }: IssueDifference): string[] {
  const { words } = context;
  const claim = (name: string | null) =>
    name === null ? words.plain('issues.nothing') : words.plain(`change.verdict-time.${name}`);
  return verdicts.map(({ from, to, before, after }) =>
    words.plain('issues.verdict', {
      from: stageName(context, from),
      to: stageName(context, to),
      before: claim(before),
      after: claim(after),
    }),
  );
}

/** Values at mid frequencies one by one, and how many of all moved. */
function valueLines(context: Context, { values }: IssueDifference): string[] {
  const { words } = context;
  const text = (value: IssueDifference['values'][0]['before']) =>
    value === null ? words.plain('issues.nothing') : withUnit(written(context, value), WRITTEN[value.quantity].unit);
  const mid = values.filter(({ centre_hz }) => centre_hz === 'mid').slice(0, NAMED);
  const others = values.filter(({ centre_hz }) => centre_hz !== 'mid');
  const lines = mid.map(({ stage, before, after }) =>
    words.plain('issues.value', { stage: stageName(context, stage), before: text(before), after: text(after) }),
  );
  if (others.length === 0) return lines;
  const bands = [...new Set(others.map(({ centre_hz }) => centre_hz as number))].sort((a, b) => a - b);
  return [...lines, words.plain('issues.values', { count: others.length, bands: bandsList(bands, words) })];
}

function written({ words }: Context, estimate: Parameters<typeof writtenEstimate>[0]): string {
  const { value, expanded } = writtenEstimate(estimate, words.locale);
  return expanded === null ? value : `${value} ± ${expanded}`;
}
