import { afterEach, describe, expect, test, vi } from 'vitest';
import { diagnosticLine, PLAIN, table, terminalPaint, told, wrap } from '../../pipeline/terminal.ts';

describe('wrap', () => {
  test('breaks between words at the width, and begins further lines as told', () => {
    expect(wrap('one two three four', { width: 10, first: '- ', rest: '  ' })).toBe('- one two\n  three\n  four');
  });

  test('leaves a word longer than the line whole', () => {
    expect(wrap('a recordings/very/long/name.wav b', { width: 12 })).toBe('a\nrecordings/very/long/name.wav\nb');
  });
});

describe('table', () => {
  test('makes columns as wide as their widest cell, numbers to the right, without spaces at the end', () => {
    const columns = [{ title: 'Band' }, { title: 'T', align: 'right' as const }, { title: 'Verdict' }];
    expect(
      table(columns, [
        ['500 Hz', '0.3 s', 'reduced'],
        ['1 kHz', '12.0 s', ''],
      ]),
    ).toBe(['  Band         T  Verdict', '  500 Hz   0.3 s  reduced', '  1 kHz   12.0 s'].join('\n'));
  });

  test('counts what a character takes on the screen: two columns for East Asian ones, none for combining marks', () => {
    const rows = [
      ['部屋', 'x'],
      ['e\u0301cho', 'y'],
    ];
    expect(table([{ title: '' }, { title: '' }], rows, '')).toBe('\n部屋  x\ne\u0301cho  y');
  });

  test('colours a cell without moving the others', () => {
    const columns = [{ title: 'a', paint: (cell: string) => `<${cell}>` }, { title: 'b' }];
    expect(table(columns, [['x', 'y']], '')).toBe('a  b\n<x>  y');
  });
});

test('diagnosticLine keeps the word of the severity, whatever the colour', () => {
  const diagnostic = { file: 'a.wav', line: null, column: null, severity: 'error', message: 'no: yes' } as const;
  expect(diagnosticLine(diagnostic, PLAIN)).toBe('a.wav: error: no: yes');
  expect(diagnosticLine(diagnostic, { ...PLAIN, bad: (text) => `<${text}>` })).toBe('a.wav: <error>: no: yes');
});

describe('terminalPaint', () => {
  afterEach(() => vi.unstubAllEnvs());

  test('gives no colour where standard output is no terminal and nobody forces it', () => {
    vi.stubEnv('NO_COLOR', '');
    vi.stubEnv('FORCE_COLOR', '');
    vi.stubGlobal('process', { ...process, env: process.env, stdout: { isTTY: false } });
    expect(terminalPaint()).toBe(PLAIN);
    vi.unstubAllGlobals();
  });

  test('gives none where NO_COLOR is set, whatever FORCE_COLOR says', () => {
    vi.stubEnv('NO_COLOR', '1');
    vi.stubEnv('FORCE_COLOR', '1');
    expect(terminalPaint()).toBe(PLAIN);
  });

  test('gives colours where FORCE_COLOR asks for them, by the codes of ECMA-48', () => {
    vi.stubEnv('NO_COLOR', '');
    vi.stubEnv('FORCE_COLOR', '1');
    const { good, caution, bad, strong, faint } = terminalPaint();
    // ECMA-48:1991, 8.3.117: 31 red, 32 green, 33 yellow, 1 bold, 2 faint; 39 and 22 end them.
    expect([good('x'), caution('x'), bad('x')]).toEqual([
      '\x1b[32mx\x1b[39m',
      '\x1b[33mx\x1b[39m',
      '\x1b[31mx\x1b[39m',
    ]);
    expect([strong('x'), faint('x')]).toEqual(['\x1b[1mx\x1b[22m', '\x1b[2mx\x1b[22m']);
  });
});

test('told fits a message to a terminal, and keeps it one line for a program', () => {
  const message = `decaybook: ${'word '.repeat(30)}end`;
  const on = (isTTY: boolean) => told(message, { isTTY } as NodeJS.WriteStream);
  expect(on(false)).toBe(message);
  expect(on(true).split('\n').length).toBe(3);
  for (const line of on(true).split('\n')) expect(line.length).toBeLessThanOrEqual(80);
});
