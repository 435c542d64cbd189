import { readFile } from 'node:fs/promises';
import { parse } from 'yaml';
import { createWords, type Words, type WordTree } from '../src/report/words.ts';
import { resource } from './resources.ts';

/** The words of a language such as `en`, from templates/words. Throws where there are none. */
export async function loadWords(language: string): Promise<Words> {
  const { locale, ...tree } = parse(await readFile(resource('words', `${language}.yaml`), 'utf8')) as WordTree;
  return createWords(String(locale), tree);
}
