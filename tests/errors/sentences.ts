import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { parseAst, transformWithEsbuild } from 'vite';

/** A sentence as it stands in a source file. */
export interface Sentence {
  file: string;
  /** With `{}` for every value that is put in. */
  text: string;
  /** Whether a text holds it, whatever the values are. */
  isIn: (text: string) => boolean;
}

const ROOT = fileURLToPath(new URL('../../', import.meta.url));
/** A text of so many words is a sentence, or part of one. */
const WORDS = 4;

/**
 * Every text in a source file that is a sentence or part of one, plain or with values put in, wherever it stands in the code. Read off the
 * syntax tree, so that no way of handing a message on goes unseen.
 */
export async function sentencesIn(file: string): Promise<Sentence[]> {
  const { code } = await transformWithEsbuild(readFileSync(`${ROOT}${file}`, 'utf8'), file, { target: 'esnext' });
  const found: string[][] = [];
  const walk = (node: unknown): void => {
    if (Array.isArray(node)) {
      for (const one of node) walk(one);
      return;
    }
    if (typeof node !== 'object' || node === null) return;
    const { type, value, quasis } = node as {
      type?: string;
      value?: unknown;
      quasis?: { value: { cooked: string } }[];
    };
    if (type === 'ImportDeclaration' || type === 'ExportAllDeclaration') return;
    if (type === 'Literal' && typeof value === 'string') found.push([value]);
    if (type === 'TemplateLiteral') found.push(quasis!.map((quasi) => quasi.value.cooked));
    for (const part of Object.values(node)) walk(part);
  };
  walk(parseAst(code));
  return found
    .filter((parts) => (parts.join(' {} ').match(/\S*[a-z]{2}\S*/gi) ?? []).length >= WORDS)
    .map((parts) => {
      const pattern = new RegExp(parts.map(literally).join('[^]*?'));
      return { file, text: parts.join('{}'), isIn: (text) => pattern.test(text) };
    });
}

/** A text as part of a regular expression that stands for it, however its lines are broken. */
function literally(text: string): string {
  return text.replace(/[.*+?^${}()|[\]\\/]/g, '\\$&').replace(/\s+/g, '\\s+');
}
