import type { Results, TakeResult } from '../src/report/results.ts';
import { changeFacts } from './change-table.ts';

/**
 * What is different between two reports of one project, a line each: takes that came, went, were moved, replaced, set aside or
 * taken up again, and what is said of the changes, where it differs as rounded to its interval. Empty where nothing moved.
 */
export function whatMoved(before: Results, after: Results): string[] {
  return [...takeLines(before.takes, after.takes), ...factLines(changeFacts(before), changeFacts(after))];
}

function takeLines(before: readonly TakeResult[], after: readonly TakeResult[]): string[] {
  const lines: string[] = [];
  const gone = new Map(
    before.filter((old) => !after.some(({ file }) => file === old.file)).map((old) => [old.file, old]),
  );
  for (const take of after) {
    const old = before.find(({ file }) => file === take.file);
    const moved = old ? undefined : [...gone.values()].find(({ sha256 }) => sha256 !== null && sha256 === take.sha256);
    if (moved) {
      gone.delete(moved.file);
      lines.push(`moved: ${moved.file} to ${take.file}`);
    } else if (!old) lines.push(`new: ${take.file}, ${stateOf(take)}`);
    else if (old.sha256 !== take.sha256) lines.push(`recorded again: ${take.file}, ${stateOf(take)}`);
    else if (stateOf(old) !== stateOf(take)) lines.push(`now ${stateOf(take)}: ${take.file}`);
  }
  return [...lines, ...[...gone.keys()].map((file) => `gone: ${file}`)];
}

function stateOf(take: TakeResult): string {
  if (!take.used) return `set aside (${take.faults.map(({ code }) => code).join(', ')})`;
  const used = take.responses.filter((response) => response.used).length;
  return take.responses.length === 0 ? 'used' : `${used} of ${take.responses.length} responses used`;
}

function factLines(before: Map<string, string>, after: Map<string, string>): string[] {
  const lines = [...after]
    .filter(([subject, fact]) => before.get(subject) !== fact)
    .map(([subject, fact]) => {
      const old = before.get(subject);
      return old === undefined ? `${subject}: ${fact}` : `${subject}: ${fact}; before: ${old}`;
    });
  const dropped = [...before.keys()].filter((subject) => !after.has(subject));
  return [...lines, ...dropped.map((subject) => `${subject}: no longer compared`)];
}
