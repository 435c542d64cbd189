import { readFile } from 'node:fs/promises';
import { parse } from 'yaml';
import { createWords, type Words, type WordTree } from '../src/report/words.ts';
import { resource } from './resources.ts';

/** The words of a language, from templates/words. Throws where there are none. */
export async function loadWords(locale: string): Promise<Words> {
  const text = await readFile(resource('words', `${locale}.yaml`), 'utf8');
  return createWords(locale, parse(text) as WordTree);
}
