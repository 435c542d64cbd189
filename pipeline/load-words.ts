import { createTeller, type SaidPairs } from '../src/report/retell.ts';
import { createWords, type Words, type WordTree } from '../src/report/words.ts';
import { shippedYaml } from './shipped-yaml.ts';

/** How a list ends and a number is cut in the languages that what the program says is told in. */
const TOLD_IN: Record<string, { decimal: string; and: string }> = { de: { decimal: ',', and: 'und' } };

/** The words of a language such as `en`, from templates/words. Throws where there are none. */
export async function loadWords(language: string): Promise<Words> {
  const { locale, ...tree } = (await shippedYaml(`words/${language}.yaml`)) as WordTree;
  const told = TOLD_IN[language];
  const tell = told && createTeller((await shippedYaml(`words/${language}-said.yaml`)) as SaidPairs, told);
  return createWords(String(locale), tree, tell);
}
