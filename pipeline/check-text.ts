import type {
  CheckSummary,
  PositionSummary,
  StageSummary,
  TakeState,
  TakeSummary,
} from '../src/report/check-summary.ts';
import type { Remark } from '../src/report/remarks.ts';
import { type Paint, WIDTH, wrap } from './terminal.ts';

const STATE_WORDS: Record<TakeState, string> = {
  good: 'good',
  caution: 'caution',
  kept: 'kept',
  'set-aside': 'set aside',
  'record-again': 'RECORD AGAIN',
};
const STATE_WIDTH = 14;

/**
 * Returns the outcome of `check` as text, 80 columns wide: stage by stage and position by position what is good, what to
 * record again and why, and how many good responses stand against how many are wanted.
 */
export function checkText(summary: CheckSummary, paint: Paint): string {
  const stages = summary.stages.map((stage) => stageText(stage, summary, paint));
  const notes = notesText(summary);
  const remarks = remarkLines(summary.remarks, paint).join('\n');
  return [...stages, ...[remarks, notes].filter((text) => text !== ''), closing(summary, paint)].join('\n\n');
}

function stageText(stage: StageSummary, { wanted }: CheckSummary, paint: Paint): string {
  const heading = paint.strong(
    wrap(stage.title === stage.id ? stage.id : `${stage.id}: ${stage.title}`, { rest: '  ' }),
  );
  if (stage.positions.length === 0) return `${heading}\n  no recordings yet`;
  const short = wanted.positions - stage.complete;
  const tally = `  ${stage.complete} of ${wanted.positions} positions complete${short > 0 ? `: record at ${short} more` : ''}`;
  return [heading, ...stage.positions.map((position) => positionText(position, paint)), paint.faint(tally)].join('\n');
}

function positionText({ position, good, wanted, takes }: PositionSummary, paint: Paint): string {
  const enough = good >= wanted;
  const verdict = enough ? paint.good('enough') : paint.caution(`record ${wanted - good} more`);
  const heading = `  ${wrap(`position ${position}: ${good} good ${good === 1 ? 'response' : 'responses'}, ${wanted} wanted:`)} ${verdict}`;
  return [heading, ...takes.map((take) => takeText(take, paint))].join('\n');
}

function takeText(take: TakeSummary, paint: Paint): string {
  const colour = colourOf(take.state, paint);
  const state = STATE_WORDS[take.state];
  const name = take.file.split('/').at(-1)!;
  const start = `    ${colour(state)}${' '.repeat(STATE_WIDTH - state.length)}`;
  const hang = ' '.repeat(4 + STATE_WIDTH);
  const first = wrap(`${name}${countWords(take)}`, { width: WIDTH - hang.length, rest: '' }).replaceAll(
    '\n',
    `\n${hang}`,
  );
  const told = take.faults.filter(({ severity }) => severity !== 'note' || take.state === 'kept');
  const reasons = told.map(({ message }) => wrap(message, { first: hang, rest: hang }));
  return [start + first, ...reasons].join('\n');
}

/** What several takes show beside each other, one paragraph each: `look into: ...`, or `note: ...`. */
export function remarkLines(remarks: readonly Remark[], paint: Paint): string[] {
  return remarks.map(({ severity, message }) => {
    const mark = severity === 'warn' ? 'look into' : 'note';
    return wrap(`${mark}: ${message}`, { rest: '  ' }).replace(/^look into/, paint.caution);
  });
}

/** What changes nothing is said once, with the takes it holds for: `01.wav` where it is one, else how many. */
function notesText({ stages }: CheckSummary): string {
  const takes = stages.flatMap(({ positions }) => positions.flatMap((position) => position.takes));
  const noted = new Map<string, string[]>();
  for (const { file, state, faults } of takes) {
    if (state === 'kept') continue;
    for (const { severity, message } of faults) {
      if (severity === 'note') noted.set(message, [...(noted.get(message) ?? []), file]);
    }
  }
  const lines = [...noted].map(([message, files]) => {
    const where = files.length === 1 ? files[0]! : `${files.length} takes`;
    return wrap(`${where}: ${message}`, { first: '  ', rest: '  ' });
  });
  return lines.length === 0 ? '' : ['Notes', ...lines].join('\n');
}

function countWords({ state, kind, good, found }: TakeSummary): string {
  if (state === 'kept') return kind === null ? '' : `, ${kind}`;
  if (state === 'set-aside' || found === 0) return '';
  const noun = found === 1 ? 'response' : 'responses';
  return good === found ? `, ${good} ${noun}` : `, ${good} of ${found} ${noun} good`;
}

function colourOf(state: TakeState, paint: Paint): (text: string) => string {
  switch (state) {
    case 'good':
      return paint.good;
    case 'caution':
      return paint.caution;
    case 'kept':
    case 'set-aside':
      return paint.faint;
    case 'record-again':
      return paint.bad;
    default:
      return state satisfies never;
  }
}

function closing({ record_again, stages, wanted, remarks }: CheckSummary, paint: Paint): string {
  if (stages.every(({ positions }) => positions.length === 0)) {
    return wrap(
      `Nothing recorded yet. Wanted in each stage: ${wanted.positions} positions with ${wanted.responses} good responses at each.`,
    );
  }
  const count = record_again.length;
  const open = remarks.filter(({ severity }) => severity === 'warn').length;
  if (count === 0 && open > 0)
    return paint.caution('Nothing must be recorded again, but look into what is said above.');
  if (count === 0) return paint.good('Nothing needs to be recorded again.');
  return paint.bad(`${count} ${count === 1 ? 'take' : 'takes'} to record again.`);
}
