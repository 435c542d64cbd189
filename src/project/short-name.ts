/** Names longer than this are cut where they are quoted back. */
const LONGEST = 60;

/** Returns a sentence in which words that are very long are cut. */
export function withShortWords(sentence: string): string {
  return sentence.replace(/[^\s"():,]{81,}/g, shortName);
}

/** Returns a key or value as a message quotes it: what is very long is cut, with three dots. */
export function shortName(name: string): string {
  return name.length > LONGEST ? `${name.slice(0, LONGEST - 3)}...` : name;
}
