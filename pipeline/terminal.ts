import { styleText } from 'node:util';
import { type Diagnostic, formatDiagnostic, printable } from '../src/project/diagnostic.ts';

/** Columns that every terminal has. */
export const WIDTH = 80;

/** What a colour stands for. Never the only bearer of a meaning: the words say it too. */
export interface Paint {
  good: (text: string) => string;
  caution: (text: string) => string;
  bad: (text: string) => string;
  strong: (text: string) => string;
  faint: (text: string) => string;
}

const same = (text: string): string => text;

/** No colour at all. */
export const PLAIN: Paint = { good: same, caution: same, bad: same, strong: same, faint: same };

/**
 * Returns whether this terminal is to have colours: not where standard output is no terminal, or NO_COLOR is set and not
 * empty (no-color.org), unless FORCE_COLOR asks for them.
 */
export function wantsColour(): boolean {
  if ((process.env.NO_COLOR ?? '') !== '') return false;
  return process.stdout.isTTY || (process.env.FORCE_COLOR ?? '') !== '';
}

/** Returns the colours, or none. */
export function paintWith(colour: boolean): Paint {
  if (!colour) return PLAIN;
  const paint = (style: 'green' | 'yellow' | 'red' | 'bold' | 'dim') => (text: string) =>
    styleText(style, text, { validateStream: false });
  return {
    good: paint('green'),
    caution: paint('yellow'),
    bad: paint('red'),
    strong: paint('bold'),
    faint: paint('dim'),
  };
}

/** Returns the colours of this terminal, as far as it is to have any. */
export function terminalPaint(): Paint {
  return paintWith(wantsColour());
}

/** Returns a text in lines of at most `width` characters, the first begun with `first`, the others with `rest`. */
export function wrap(text: string, options: { width?: number; first?: string; rest?: string } = {}): string {
  const { width = WIDTH, first = '', rest = '' } = options;
  const lines: string[] = [];
  let line = first;
  let empty = true;
  for (const word of printable(text).split(' ')) {
    if (!empty && length(line) + 1 + length(word) > width) {
      lines.push(line);
      line = rest;
      empty = true;
    }
    line += empty ? word : ` ${word}`;
    empty = false;
  }
  return [...lines, line].join('\n');
}

export interface Column {
  title: string;
  align?: 'left' | 'right';
  /** Colours a cell once its width is settled. */
  paint?: (cell: string) => string;
}

/** Returns rows of cells as lines, each column as wide as its widest cell, two spaces between, with its titles above. */
export function table(columns: readonly Column[], rows: readonly (readonly string[])[], indent = '  '): string {
  const widths = columns.map(({ title }, i) => Math.max(length(title), ...rows.map((row) => length(row[i] ?? ''))));
  const line = (cells: readonly string[], painted: boolean): string => {
    const padded = columns.map(({ align, paint }, i) => {
      const cell = cells[i] ?? '';
      const space = ' '.repeat(Math.max(0, widths[i]! - length(cell)));
      const shown = painted && paint ? paint(cell) : cell;
      return align === 'right' ? space + shown : shown + space;
    });
    return (indent + padded.join('  ')).trimEnd();
  };
  const titles = line(
    columns.map(({ title }) => title),
    false,
  );
  return [titles, ...rows.map((row) => line(row.map(printable), true))].join('\n');
}

/** Returns a message as it is shown: in lines that fit where the stream is a terminal, else as one line, which programs read. */
export function told(text: string, stream: NodeJS.WriteStream): string {
  return stream.isTTY ? wrap(text, { rest: '  ' }) : printable(text);
}

/** Returns a diagnostic as it is shown, its severity coloured; one line where it goes to no terminal: editors read it for the place. */
export function diagnosticLine(diagnostic: Diagnostic, paint: Paint): string {
  const { severity } = diagnostic;
  const colour = { error: paint.bad, warning: paint.caution, note: paint.faint }[severity];
  return told(formatDiagnostic(diagnostic), process.stdout).replace(`: ${severity}: `, `: ${colour(severity)}: `);
}

/** Returns how many columns a text takes: one a character, two for those of East Asian scripts, none for combining marks. */
function length(text: string): number {
  let columns = 0;
  for (const character of text) {
    if (/\p{M}/u.test(character)) continue;
    columns += /[\u1100-\u115f\u2e80-\ua4cf\uac00-\ud7a3\uf900-\ufaff\uff00-\uff60]/.test(character) ? 2 : 1;
  }
  return columns;
}
