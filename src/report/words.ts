import { IntlMessageFormat } from 'intl-messageformat';
import type { Inline } from './document.ts';
import { bindUnits } from './format.ts';
import type { Teller } from './retell.ts';

/** The words of one language: messages in ICU MessageFormat under dotted keys. */
export interface Words {
  locale: string;
  /** The message filled in, with its emphasis and its cross references. Throws where there is no such message. */
  say: (key: string, values?: WordValues) => Inline[];
  /** The message filled in, as one string. Throws where there is no such message, or it holds emphasis or references. */
  plain: (key: string, values?: WordValues) => string;
  has: (key: string) => boolean;
  /** What the program says in English, in this language; left out in English. */
  tell?: Teller;
  keys: string[];
}

export type WordValues = Record<string, string | number | boolean>;

/** Messages by key, in as many levels as the file has. */
export interface WordTree {
  [key: string]: string | WordTree;
}

/**
 * The catalogue as something that speaks. A message may hold `<b>` (strong), `<em>` and `<ref>id of a figure, table or
 * section</ref>`; values are put in as they are, so markup in what a user typed stays text.
 *
 * @param locale BCP 47: decides plural forms
 * @param tell for a language other than the program's own
 */
export function createWords(locale: string, tree: WordTree, tell?: Teller): Words {
  const messages = new Map(flatten(tree, ''));
  const compiled = new Map<string, IntlMessageFormat>();
  const message = (key: string): IntlMessageFormat => {
    const source = messages.get(key);
    if (source === undefined) throw new Error(`no words for "${key}"`);
    let format = compiled.get(key);
    if (!format) {
      format = new IntlMessageFormat(source, locale);
      compiled.set(key, format);
    }
    return format;
  };
  const say = (key: string, values: WordValues = {}): Inline[] => {
    const filled = message(key).format<Inline>({
      ...values,
      b: (text) => ({ kind: 'strong', text }),
      em: (text) => ({ kind: 'emphasis', text }),
      ref: (text) => ({ kind: 'reference', to: text.join(''), label: '' }),
    });
    return Array.isArray(filled) ? filled : [filled];
  };
  const plain = (key: string, values: WordValues = {}): string => {
    const runs = say(key, values);
    if (runs.some((run) => typeof run !== 'string')) throw new Error(`the words for "${key}" are not plain`);
    return runs.join('');
  };
  const has = (key: string) => messages.has(key);
  return { locale, say, plain, has, keys: [...messages.keys()], ...(tell ? { tell } : {}) };
}

function flatten(tree: WordTree, prefix: string): [string, string][] {
  return Object.entries(tree).flatMap(([key, value]): [string, string][] =>
    typeof value === 'string' ? [[prefix + key, bindUnits(value.trim())]] : flatten(value, `${prefix}${key}.`),
  );
}
