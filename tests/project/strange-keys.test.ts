import { expect, test } from 'vitest';
import { formatDiagnostic } from '../../src/project/diagnostic.ts';
import { parseProject } from '../../src/project/parse-project.ts';

const SOUND =
  'decaybook: 1\ntitle: Room\ndate: 2026-05-12\nroom: {length: 5, width: 4, height: 3}\nstages:\n  - id: bare\n';

function firstOf(text: string): string {
  const { project, diagnostics } = parseProject(text, 'project.yaml');
  expect(project).toBeNull();
  return formatDiagnostic(diagnostics[0]!);
}

test.each([`${SOUND}[bare, treated]: x\n`, `${SOUND}? {a: 1}\n: x\n`, `${SOUND}? - a\n: x\n`])(
  'a key that is a list or a group is told at its place: %j',
  (text) => {
    const line =
      'error: the file cannot be read from here on (a key is a list or a group of keys): correct the line, or put its text in quotes';
    expect(firstOf(text)).toMatch(/^project\.yaml:7:[13]: /);
    expect(firstOf(text)).toContain(line);
  },
);

test.each([
  `${SOUND}${'k'.repeat(900)}: 1\n`,
  `!${'!'.repeat(3000)} x\n`,
  `${SOUND}positions: {${'p'.repeat(3000)}: {microphone: [9, 9, 9]}}\nfoo: *${'a'.repeat(3000)}\n`,
])('what is very long is cut where it is quoted back (%#)', (text) => {
  expect(firstOf(text).length).toBeLessThan(700);
  expect(firstOf(text)).toContain('...');
});

test.each(['__proto__', 'constructor', 'toString', 'hasOwnProperty'])('the key %s is a key like any other', (key) => {
  expect(firstOf(`${SOUND}${key}: {polluted: true}\n`)).toContain(`"${key}" is not known here`);
  expect(({} as { polluted?: boolean }).polluted).toBeUndefined();
});
