import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import path from 'node:path';

const require = createRequire(import.meta.url);

/** The faces a report is set in: package, style sheet of the face. */
const FACES = [
  ['@fontsource/source-sans-3', '400'],
  ['@fontsource/source-sans-3', '400-italic'],
  ['@fontsource/source-sans-3', '600'],
  ['@fontsource/source-serif-4', '400'],
  ['@fontsource/source-serif-4', '600'],
] as const;

/**
 * The style rules that carry the fonts inside themselves, as data: of every face those parts (Latin, Greek, Cyrillic and so
 * on) that `text` has letters of. A letter no part has is left to the machine that shows it.
 */
export async function fontFaceRules(text: string): Promise<string> {
  const letters = lettersOf(text);
  const rules = await Promise.all(FACES.map(([name, face]) => faceRules(name, face, letters)));
  return rules.flat().join('\n');
}

/** Every code point of a text beyond ASCII, and one for all of ASCII: a page with sound in it has millions of such letters. */
function lettersOf(text: string): Set<number> {
  const beyond = new Set(text.match(/[\u0080-\uffff]+/g));
  return new Set(['a', ...beyond].flatMap((some) => [...some].map((letter) => letter.codePointAt(0)!)));
}

async function faceRules(name: string, face: string, letters: Set<number>): Promise<string[]> {
  const sheet = require.resolve(`${name}/${face}.css`);
  const blocks = (await readFile(sheet, 'utf8')).match(/@font-face\s*\{[^}]*\}/g) ?? [];
  const wanted = blocks.filter((block) => covers(property(block, 'unicode-range'), letters));
  return Promise.all(
    wanted.map(async (block) => {
      const file = /url\(([^)]+\.woff2)\)/.exec(block)![1]!;
      const data = await readFile(path.join(path.dirname(sheet), file), 'base64');
      return `@font-face{font-family:${property(block, 'font-family')};font-style:${property(block, 'font-style')};font-weight:${property(block, 'font-weight')};font-display:block;src:url(data:font/woff2;base64,${data}) format("woff2");unicode-range:${property(block, 'unicode-range')}}`;
    }),
  );
}

function property(block: string, name: string): string {
  return new RegExp(`${name}:\\s*([^;]+);`).exec(block)?.[1] ?? '';
}

/** Whether any of the letters lies in a CSS unicode-range such as `U+0000-00FF, U+0131`. */
function covers(range: string, letters: Set<number>): boolean {
  return range.split(',').some((part) => {
    const [from, to] = part
      .trim()
      .replace(/^U\+/i, '')
      .split('-')
      .map((end) => Number.parseInt(end, 16));
    for (let code = from!; code <= (to ?? from!); code += 1) if (letters.has(code)) return true;
    return false;
  });
}
