import type { Context } from '../context.ts';
import type { Section } from '../document.ts';
import { section } from './section.ts';

/** The terms a report uses, each explained once, in the order of the catalogue. */
export function glossarySection(context: Context): Section {
  const { words } = context;
  const prefix = 'glossary.term.';
  const terms = words.keys.filter((key) => key.startsWith(prefix)).map((key) => key.slice(prefix.length));
  const items = terms.map((term) => ({ term: words.say(prefix + term), detail: words.say(`glossary.text.${term}`) }));
  return section(context, 'glossary', [{ kind: 'facts', items }]);
}
