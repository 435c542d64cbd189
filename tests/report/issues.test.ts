import { describe, expect, it } from 'vitest';
import { buildDocument } from '../../src/report/build-document.ts';
import { type IssueLog, issueLogSchema, nextIssue } from '../../src/report/issues.ts';
import type { Results } from '../../src/report/results.ts';
import { ENGLISH, fixtureTarget } from './build-fixture.ts';
import { blockLines } from './document-text.ts';
import { fixtureFigures, fixtureResults, SHAPES } from './fixture.ts';

const first = fixtureResults(SHAPES.bedroom);

/** The same results, with one recording more, another set aside, a value moved and a verdict withdrawn. */
function edited(results: Results): Results {
  const next = structuredClone(results);
  next.takes.push({ ...structuredClone(next.takes[0]!), file: 'recordings/new.wav' });
  next.takes[0]!.used = false;
  const change = next.changes[0]!;
  change.headline.verdict = 'not-measurable';
  for (const value of next.stages[0]!.values) if (value.value !== null && value.centre_hz === 'mid') value.value += 0.1;
  return next;
}

function lastRow(results: Results, issues: IssueLog): string {
  const input = { results, figures: fixtureFigures(results), target: fixtureTarget(results), words: ENGLISH, issues };
  const section = buildDocument(input).sections.find(({ id }) => id === 'issues')!;
  return section.blocks.flatMap(blockLines)[3]!;
}

describe('nextIssue(log, results)', () => {
  it('is the same issue while nothing differs, and the next when anything does', () => {
    const one = nextIssue(null, first);
    expect(one.issues.map(({ issue, date }) => [issue, date])).toEqual([[1, first.project.date]]);
    expect(nextIssue(one, first)).toEqual(one);
    const two = nextIssue(one, edited(first));
    expect(two.issues.map(({ issue }) => issue)).toEqual([1, 2]);
    expect(nextIssue(two, first).issues.map(({ issue }) => issue)).toEqual([1, 2, 3]);
  });

  it('is the next under another date', () => {
    const dated = { ...first, project: { ...first.project, date: '2027-01-01' } };
    const log = nextIssue(nextIssue(null, first), dated);
    expect(log.issues.map(({ issue }) => issue)).toEqual([1, 2]);
    expect(lastRow(dated, log)).toBe('2 | 1 January 2027 | The date only.');
  });

  it('takes the number that the project states, and holds it while work goes on', () => {
    const stated = (results: Results, issue: number) => ({ ...results, project: { ...results.project, issue } });
    const two = nextIssue(nextIssue(null, first), stated(edited(first), 2));
    const again = nextIssue(two, stated(first, 2));
    expect(again.issues.map(({ issue }) => issue)).toEqual([1, 2]);
    expect(again.issues[1]!.takes).toEqual(two.issues[0]!.takes);
  });

  it('comes back from its file as it went', () => {
    const log = nextIssue(null, first);
    expect(issueLogSchema.parse(JSON.parse(JSON.stringify(log)))).toEqual(log);
  });
});

describe('the report', () => {
  it('says what differs from the issue before: recordings, verdicts, values', () => {
    const next = edited(first);
    const row = lastRow(next, nextIssue(nextIssue(null, first), next));
    expect(row).toContain('A recording was added: recordings/new.wav.');
    expect(row).toContain(`A recording is now set aside: ${first.takes[0]!.file}.`);
    expect(row).toMatch(/became not measurable\./);
    expect(row).toMatch(/mid frequencies: 0\.\d+ ± 0\.\d+\u00a0s became 0\.\d+ ± 0\.\d+\u00a0s\./);
  });

  it('bears its number on the cover and at the foot of every page', () => {
    const issues = nextIssue(nextIssue(null, edited(first)), first);
    const input = { results: first, figures: [], target: fixtureTarget(first), words: ENGLISH, issues };
    const { cover, footer } = buildDocument(input);
    expect(cover.issue).toBe('Issue 2');
    expect(footer.reference).toMatch(/, issue 2$/);
  });
});
