import type { Block, Inline, ReportDocument, Section } from './document.ts';

/** How things are called when they are referred to. */
export interface NumberWords {
  section: (number: number) => string;
  figure: (number: number) => string;
  table: (number: number) => string;
}

/**
 * The document with its sections, figures and tables numbered in the order they stand, and every cross reference carrying the
 * name of what it points to. Throws where a reference points at nothing: that is a fault of the builder, never of a user.
 */
export function numberDocument(draft: ReportDocument, words: NumberWords): ReportDocument {
  const labels = new Map<string, string>();
  let figures = 0;
  let tables = 0;
  const nextFigure = (id: string): string => {
    figures += 1;
    labels.set(id, words.figure(figures));
    return words.figure(figures);
  };
  const label = (block: Block): Block => {
    if (block.kind === 'figure') {
      return { ...block, label: nextFigure(block.id) };
    }
    if (block.kind === 'photos') {
      return { ...block, items: block.items.map((item) => ({ ...item, label: nextFigure(item.id) })) };
    }
    if (block.kind === 'table') {
      tables += 1;
      labels.set(block.id, words.table(tables));
      return { ...block, label: words.table(tables) };
    }
    return block;
  };
  const cover = draft.cover.figure ? (label(draft.cover.figure) as typeof draft.cover.figure) : null;
  const sections = draft.sections.map((section, index): Section => {
    labels.set(section.id, words.section(index + 1));
    return { ...section, number: index + 1, blocks: section.blocks.map(label) };
  });
  return resolve({ ...draft, cover: { ...draft.cover, figure: cover }, sections }, labels);
}

/** Walks plain data and fills in the label of every reference in it. */
function resolve<T>(value: T, labels: Map<string, string>): T {
  if (Array.isArray(value)) return value.map((item) => resolve(item, labels)) as T;
  if (value === null || typeof value !== 'object') return value;
  if ((value as { kind?: unknown }).kind === 'reference') {
    const reference = value as unknown as Extract<Inline, { kind: 'reference' }>;
    const name = labels.get(reference.to);
    if (name === undefined) throw new Error(`a cross reference points at nothing: ${reference.to}`);
    return { ...reference, label: name } as T;
  }
  return Object.fromEntries(Object.entries(value).map(([key, item]) => [key, resolve(item, labels)])) as T;
}
