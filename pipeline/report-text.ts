import type { TakeResult } from '../src/report/results.ts';
import { changeTable } from './change-table.ts';
import { remarkLines } from './check-text.ts';
import type { Reported } from './report.ts';
import { diagnosticLine, type Paint, wrap } from './terminal.ts';

/** What a terminal shows of one project: messages, what was set aside and why, what changed, where the report lies. */
export function reportedText(
  one: Reported,
  { folder, paint, many }: { folder: string; paint: Paint; many: boolean },
): string {
  const { results, messages, missing } = one;
  const parts = [
    many ? [paint.strong(results?.project.title ?? folder)] : [],
    messages.map((message) => diagnosticLine(message, paint)),
    results === null ? [] : setAsideLines(results.takes, paint),
    results === null ? [] : remarkLines(results.remarks ?? [], paint),
    results === null ? [] : [changeTable(results, paint)].filter((text) => text !== ''),
    missing.map((line) => paint.caution(wrap(line))),
    one.folder === null ? [] : [`Report: ${one.folder}`],
  ];
  return parts
    .filter((lines) => lines.length > 0)
    .map((lines) => lines.join('\n'))
    .join('\n\n');
}

function setAsideLines(takes: readonly TakeResult[], paint: Paint): string[] {
  return takes.flatMap((take) => {
    const own = take.faults.filter((fault) => fault.severity === 'reject');
    const single = take.responses.flatMap(({ onset_s, used, faults }) =>
      used ? [] : faults.map(({ message }) => ({ message: `at ${onset_s.toFixed(2)} s: ${message}` })),
    );
    return [...(take.used ? [] : own), ...(take.used ? single : [])].map(({ message }) =>
      wrap(`set aside: ${take.file}: ${message}`, { rest: '  ' }).replace(/^set aside/, paint.caution),
    );
  });
}
