/** A sentence of the program in another language; what there are no words for comes back as it is. */
export type Teller = (sentence: string) => string;

/** Sentences side by side: in English and in the other language, both with gaps such as {a}. */
export type SaidPairs = readonly (readonly [english: string, other: string])[];

interface Pattern {
  shape: RegExp;
  gaps: string[];
  other: string;
}

/** Gaps whose content is itself a sentence, or words, of the program. */
const TOLD_AGAIN = new Set(['said', 'source']);

/**
 * What turns sentences of the program into another language. Numbers in the gaps take that language's decimal mark, lists its "and";
 * several reasons in a row are told one by one.
 *
 * @param words.and as it stands between the last two of a list
 */
export function createTeller(pairs: SaidPairs, words: { decimal: string; and: string }): Teller {
  const patterns = pairs.map(([english, other]): Pattern => {
    const gaps = [...english.matchAll(/\{(\w+)\}/g)].map((gap) => gap[1]!);
    const literal = english.split(/\{\w+\}/).map((part) => part.replace(/[.*+?^${}()|[\]\\]/g, '\\$&'));
    return { shape: new RegExp(`^${literal.join('(.+?)')}$`, 'su'), gaps, other };
  });
  const whole = (sentence: string): string | null => {
    for (const { shape, gaps, other } of patterns) {
      const match = shape.exec(sentence);
      if (!match) continue;
      const filled = new Map(gaps.map((gap, index) => [gap, filling(gap, match[index + 1]!)]));
      return other.replace(/\{(\w+)\}/g, (_, gap: string) => filled.get(gap) ?? '');
    }
    return null;
  };
  const filling = (gap: string, text: string): string => {
    if (TOLD_AGAIN.has(gap)) return tell(text);
    const number = /^[+-]?\d+\.\d+$/.test(text) ? text.replace('.', words.decimal) : text;
    return gap === 'list' ? number.replaceAll(' and ', ` ${words.and} `) : number;
  };
  const tell: Teller = (sentence) => {
    const told = whole(sentence);
    if (told !== null) return told;
    return sentence.includes('; ')
      ? sentence
          .split('; ')
          .map((part) => whole(part) ?? part)
          .join('; ')
      : sentence;
  };
  return tell;
}

/** Fields that hold sentences of the program, wherever they stand. */
const SAYING = new Set(['reasons', 'warnings', 'message', 'reason', 'refusals', 'note', 'source', 'pause_refusal']);
/** What the user wrote, or names, is never touched. */
const NEVER = new Set(['project', 'photos', 'listening', 'file', 'budget']);

/** Plain data with every sentence of the program in it told anew; what the user typed stays as typed. */
export function retold<T>(data: T, tell: Teller): T {
  return walk(data, false) as T;

  function walk(value: unknown, saying: boolean): unknown {
    if (typeof value === 'string') return saying ? tell(value) : value;
    if (Array.isArray(value)) return value.map((item) => walk(item, saying));
    if (value === null || typeof value !== 'object') return value;
    return Object.fromEntries(
      Object.entries(value).map(([key, item]) => [key, NEVER.has(key) ? item : walk(item, saying || SAYING.has(key))]),
    );
  }
}
