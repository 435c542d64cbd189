import { describe, expect, test } from 'vitest';
import { formatDiagnostic, printable } from '../../src/project/diagnostic.ts';

const fault = { severity: 'error', message: 'wrong: mend it' } as const;

describe('formatDiagnostic', () => {
  test('names file, line and column as editors read them', () => {
    expect(formatDiagnostic({ file: 'project.yaml', line: 12, column: 5, ...fault })).toBe(
      'project.yaml:12:5: error: wrong: mend it',
    );
  });

  test('leaves line and column out where there are none', () => {
    expect(formatDiagnostic({ file: 'recordings', line: null, column: null, ...fault })).toBe(
      'recordings: error: wrong: mend it',
    );
  });
});

test('printable keeps letters of every script and takes out what steers a terminal or turns the reading direction', () => {
  expect(printable('Räume 部屋 é')).toBe('Räume 部屋 é');
  expect(printable('a\u001b[31mb\u0007\r\nc\u202egnp')).toBe('a?[31mb???c?gnp');
});
