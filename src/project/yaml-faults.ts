import { type Document, isCollection, isScalar, visit, type YAMLError } from 'yaml';
import * as messages from './messages.ts';
import { shortName, withShortWords } from './short-name.ts';

/** The parser quotes what it stumbled over, however long that is. */
const LONGEST_REASON = 100;

/** A fault at an offset into the text. */
export interface OffsetFault {
  offset: number;
  message: string;
}

/** Returns the parser's complaints in our words, each where the fault began; of several about one place the first. */
export function grammarFaults(errors: readonly YAMLError[], text: string): OffsetFault[] {
  return errors
    .filter((error, i, all) => i === 0 || all[i - 1]!.pos[0] !== error.pos[0])
    .slice(0, messages.MOST_FAULTS)
    .map((error) => ({ offset: offsetOf(error, text), message: explain(error) }));
}

/** Returns the keys that stand a second time in the same map, at their second place. */
export function duplicateKeys(document: Document.Parsed): OffsetFault[] {
  const faults: OffsetFault[] = [];
  visit(document, {
    Map: (_, { items }) => {
      const seen = new Set<string>();
      for (const { key } of items) {
        if (!isScalar(key)) continue;
        const name = String(key.value);
        if (seen.has(name))
          faults.push({ offset: key.range?.[0] ?? 0, message: messages.duplicateKey(shortName(name)) });
        seen.add(name);
      }
    },
  });
  return faults.slice(0, messages.MOST_FAULTS);
}

/**
 * Returns the keys that are lists or groups themselves. Nothing here has such keys, and turning them into plain data takes time that
 * doubles with each level.
 */
export function complexKeys(document: Document.Parsed): OffsetFault[] {
  const faults: OffsetFault[] = [];
  visit(document, {
    Pair: (_, { key }) => {
      if (!isCollection(key)) return undefined;
      faults.push({ offset: key.range?.[0] ?? 0, message: messages.otherSyntax('a key is a list or a group of keys') });
      return visit.SKIP;
    },
  });
  return faults.slice(0, messages.MOST_FAULTS);
}

function explain({ code, message }: YAMLError): string {
  if (code === 'TAB_AS_INDENT') return messages.tabIndent();
  if (code === 'MULTIPLE_DOCS') return messages.severalDocuments();
  if (code === 'BAD_SCALAR_START') return messages.strayAtSign();
  if (code === 'RESOURCE_EXHAUSTION') return messages.tooDeep();
  if (/closing ['"]quote/.test(message)) return messages.unclosedQuote();
  if (/Nested mappings are not allowed in compact/.test(message)) return messages.colonInText();
  if (/flow (map|sequence)/i.test(message)) return messages.unclosedBracket();
  if (/Implicit (map )?keys? need/.test(message)) return messages.keyWithoutColon();
  if (code === 'BAD_INDENT') return messages.badIndent();
  const said = message.split('\n')[0]!.replace(/^./, (first) => first.toLowerCase());
  return messages.otherSyntax(
    withShortWords(said.length > LONGEST_REASON ? `${said.slice(0, LONGEST_REASON)}...` : said),
  );
}

/** Where a fault began. The parser tells where it noticed: for a quote or bracket that stays open, that is its end. */
function offsetOf({ message, pos: [noticed] }: YAMLError, text: string): number {
  const quote = /closing (['"])quote/.exec(message)?.[1];
  if (quote !== undefined) {
    let at = text.lastIndexOf(quote, noticed - 1);
    while (at > 0 && text[at - 1] === (quote === '"' ? '\\' : "'")) at = text.lastIndexOf(quote, at - 2);
    return at < 0 ? noticed : at;
  }
  if (!/flow (map|sequence)/i.test(message)) return noticed;
  let closed = 0;
  for (let at = noticed - 1; at >= 0; at--) {
    if (text[at] === ']' || text[at] === '}') closed++;
    else if ((text[at] === '[' || text[at] === '{') && closed-- === 0) return at;
  }
  return noticed;
}
