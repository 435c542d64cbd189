import { describe, expect, test } from 'vitest';
import { parseProject } from '../../src/project/parse-project.ts';

const many = (count: number, line: (i: number) => string): string =>
  Array.from({ length: count }, (_, i) => line(i)).join('');

/** Texts near the longest that is read, each made to cost a careless reader the square of its length, or worse. */
const TEXTS: [name: string, text: string][] = [
  ['unknown keys', many(18_000, (i) => `k${i}: 1\n`)],
  ['one key again and again', many(30_000, () => 'k: 1\n')],
  ['faults of grammar', `title: ${'[]'.repeat(30_000)}`],
  ['an open quote after backslashes', `title: "${'\\'.repeat(190_000)}`],
  ['an open quote after quotes', `title: '${"''".repeat(90_000)}`],
  ['wrong pairs', `compare: [${'[a, b, c],'.repeat(15_000)}]`],
  ['brackets', '['.repeat(190_000)],
  ['dashes', '- '.repeat(90_000)],
  ['keys of keys of keys', `${'? '.repeat(60)}a`],
  ['keys of keys and nothing else', '? '.repeat(700)],
  ['keys of keys in brackets', `${'{? '.repeat(30)}a${'}'.repeat(30)}`],
  ['deeper and deeper lines', many(600, (i) => `${' '.repeat(i)}a:\n`)],
  ['anchors', many(9_000, (i) => `k${i}: &a${i} x\n`)],
  ['aliases', `a: &a [1]\nb: [${'*a,'.repeat(60_000)}]`],
];

describe('parseProject of a text made to be slow', () => {
  // A cap on harm, not a measure of speed.
  test.each(TEXTS)('%s: is done within 10 s, with at most some hundred faults', (_, text) => {
    const started = performance.now();
    const { project, diagnostics } = parseProject(text, 'project.yaml');
    expect(performance.now() - started).toBeLessThan(10_000);
    expect(project).toBeNull();
    expect(diagnostics.length).toBeLessThan(200);
  });
});
