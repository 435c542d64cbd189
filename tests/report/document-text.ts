import type { Block, Inline, ReportDocument } from '../../src/report/document.ts';

/** Runs of text as one string, references by their label. */
export function plainText(runs: readonly Inline[]): string {
  return runs
    .map((run) => (typeof run === 'string' ? run : run.kind === 'reference' ? run.label : plainText(run.text)))
    .join('');
}

/** Everything a block says, one line a piece. */
export function blockLines(block: Block): string[] {
  switch (block.kind) {
    case 'paragraph':
    case 'subheading':
      return [plainText(block.text)];
    case 'list':
      return block.items.map(plainText);
    case 'facts':
      return block.items.map((item) => `${plainText(item.term)}: ${plainText(item.detail)}`);
    case 'note':
      return [plainText(block.title), ...block.text.map(plainText)];
    case 'figure':
      return [`${block.label} ${plainText(block.caption)}. ${plainText(block.reading)}`];
    case 'table': {
      const cell = (text: readonly Inline[], marks?: string[]) => plainText(text) + (marks ? `[${marks.join()}]` : '');
      const rows = block.rows.map((row) =>
        [plainText(row.head), ...row.cells.map((each) => cell(each.text, each.marks))].join(' | '),
      );
      const heads = [block.head, ...block.columns].map((column) => plainText(column.title)).join(' | ');
      const remarks = block.remarks.map((remark) => `${remark.mark ?? ''} ${plainText(remark.text)}`.trim());
      return [`${block.label} ${plainText(block.caption)}`, heads, ...rows, ...remarks];
    }
    case 'photos':
      return block.items.map((item) => `${item.label} ${plainText(item.caption)}`);
    case 'player':
      return [plainText(block.title), ...block.sides.map(({ side, name }) => `${side}: ${name}`)];
    default:
      return block satisfies never;
  }
}

/** Everything the first page says. */
export function coverLines({ cover }: ReportDocument): string[] {
  return [
    plainText(cover.answer),
    ...cover.key_figures.map((key) => [plainText(key.label), key.value, key.interval].filter(Boolean).join(' | ')),
    ...cover.points.map((point) => `${plainText(point.term)} ${plainText(point.detail)}`),
    plainText(cover.disclaimer.text),
  ];
}

/** Everything a document says, section by section. */
export function documentLines(document: ReportDocument): string[] {
  const sections = document.sections.flatMap((section) => [
    `${section.number} ${section.title}`,
    ...section.blocks.flatMap(blockLines),
  ]);
  return [...coverLines(document), ...sections];
}
