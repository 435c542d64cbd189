import { EXIT } from './exit.ts';
import type { StepEvent } from './keep.ts';
import type { ReportOutcome } from './report-job.ts';
import { type Paint, table } from './terminal.ts';

/** One row a project: what became of it, how many of its takes were used, and its exit status. */
export function summaryTable(outcomes: readonly ReportOutcome[], paint: Paint): string {
  const failed = outcomes.filter(({ status }) => status !== EXIT.done).length;
  const rows = outcomes.map((one) => {
    const { used, all } = one.takes;
    return [one.folder, outcomeOf(one), one.status === EXIT.done ? `${used} of ${all}` : '', String(one.status)];
  });
  const columns = [
    { title: 'project' },
    { title: 'report', paint: (cell: string) => (cell === 'failed' ? paint.bad(cell) : cell) },
    { title: 'takes used', align: 'right' as const },
    { title: 'status', align: 'right' as const },
  ];
  const projects = `${outcomes.length} projects, ${failed === 0 ? 'all done' : `${failed} failed`}`;
  return `${paint.strong(projects)}\n${table(columns, rows)}`;
}

function outcomeOf({ status, unchanged }: ReportOutcome): string {
  if (status !== EXIT.done) return 'failed';
  return unchanged ? 'unchanged' : 'made';
}

/** A line for every step of a project: whether it ran, and if so why. */
export function explanation({ folder, events }: { folder: string; events: readonly StepEvent[] }): string {
  const lines = events.map(({ step, subject, ran, reason }) => {
    const what = subject === step || subject === '' ? step : `${step} ${subject}`;
    return ran ? `  ran   ${what}: ${reason}` : `  kept  ${what}`;
  });
  return [`${folder}:`, ...lines, ''].join('\n');
}
