import type { Context } from '../context.ts';
import type { Block, Cell, Column, Inline, Paragraph, Row, Section, Subheading, Table } from '../document.ts';
import { typeset } from '../phrases.ts';

/** A section under the id that cross references use, with its title from the words of that id. */
export function section(context: Context, id: string, blocks: Block[], opens_page = false): Section {
  return { id, number: 0, title: context.words.plain(`${id}.title`), opens_page, blocks };
}

/** A paragraph of a given tone. */
export function paragraph(text: Inline[], tone: Paragraph['tone'] = 'plain'): Paragraph {
  return { kind: 'paragraph', tone, text };
}

/** A heading inside a section. */
export function subheading(id: string, text: Inline[]): Subheading {
  return { kind: 'subheading', id, text };
}

/** A column of a table: words start at the left, figures end at the right. */
export function column(title: Inline[] | string, options: { unit?: string; align?: Column['align'] } = {}): Column {
  return {
    title: typeof title === 'string' ? [title] : title,
    unit: options.unit || null,
    align: options.align ?? 'start',
  };
}

/** A table under an id that cross references use; numbered later. */
export function table(parts: {
  id: string;
  caption: Inline[];
  head: Column;
  columns: Column[];
  rows: Row[];
  remarks?: Table['remarks'];
}): Table {
  return { kind: 'table', label: '', remarks: [], ...parts };
}

/** Footnotes of a table: each text once, marked a, b, c in the order it is first used. */
export class Remarks {
  readonly #marks = new Map<string, string>();
  readonly #shared: readonly string[];

  /** @param shared what holds for the whole table and so marks no cell */
  constructor(shared: readonly string[] = []) {
    this.#shared = shared.map(typeset);
  }

  /** The cell with the mark of each remark behind it. */
  mark(cell: Cell, texts: readonly string[]): Cell {
    const marks = [...new Set(texts.map(typeset))]
      .filter((text) => text !== '' && !this.#shared.includes(text))
      .map((text) => {
        const mark = this.#marks.get(text) ?? letters(this.#marks.size);
        this.#marks.set(text, mark);
        return mark;
      });
    return marks.length === 0 ? cell : { ...cell, marks };
  }

  /** The remarks used so far, as a table lists them. */
  list(): Table['remarks'] {
    const shared = this.#shared.map((text) => ({ mark: null, text: [text.charAt(0).toUpperCase() + text.slice(1)] }));
    return [...shared, ...[...this.#marks].map(([text, mark]) => ({ mark, text: [text] }))];
  }
}

/** a to z, then aa, ab, and so on. */
function letters(index: number): string {
  const last = String.fromCharCode(97 + (index % 26));
  return index < 26 ? last : letters(Math.floor(index / 26) - 1) + last;
}
