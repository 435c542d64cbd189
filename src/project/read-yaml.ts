import { isAlias, isMap, isScalar, isSeq, LineCounter, parseDocument } from 'yaml';
import type { Place, PlaceOf, ValuePath } from './diagnostic.ts';
import * as messages from './messages.ts';
import { shortName } from './short-name.ts';
import { complexKeys, duplicateKeys, grammarFaults, type OffsetFault } from './yaml-faults.ts';
import { nodeAt, placeAt, yamlPlaces } from './yaml-places.ts';

/** A project file of the longest kind has some thousands of characters. */
const LONGEST_CHARACTERS = 200_000;
const MOST_ALIASES = 50;
const DEEPEST = 64;
/** Beyond this indent the YAML library itself may run out of memory (seen with yaml 2.9.1, 5000 dashes on a line). */
const WIDEST_INDENT = 200;

interface YamlFault {
  place: Place | null;
  message: string;
}

interface YamlText {
  /** Plain data; meaningless unless readable. */
  value: unknown;
  /** false where the faults make looking at the value pointless. */
  readable: boolean;
  faults: YamlFault[];
  placeOf: PlaceOf;
  /** The number at a path as it is spelled in the file, such as 007; null where there is none. */
  sourceAt: (path: ValuePath) => string | null;
}

/**
 * Returns a YAML text as plain data, with its faults of grammar. Duplicate keys leave it readable (the last counts);
 * any other fault does not, since what follows it would be guesswork. Never throws.
 */
export function readYaml(text: string): YamlText {
  const unreadable = (faults: YamlFault[], placeOf: PlaceOf = () => null): YamlText => {
    return { value: null, readable: false, faults, placeOf, sourceAt: () => null };
  };
  const top = { line: 1, column: 1 };
  if (text.length > LONGEST_CHARACTERS)
    return unreadable([{ place: top, message: messages.tooLong(LONGEST_CHARACTERS) }]);
  const deep = tooDeepAt(text);
  if (deep !== null) return unreadable([{ place: deep, message: messages.tooDeep() }]);

  const lines = new LineCounter();
  const document = parseDocument(text, {
    lineCounter: lines,
    prettyErrors: false,
    uniqueKeys: false, // the library compares each key with each other one; duplicateKeys takes one look at each
    logLevel: 'error',
  });
  const placeOf = yamlPlaces(document, lines);
  const toFault = ({ offset, message }: OffsetFault): YamlFault => ({ place: placeAt(lines, offset), message });
  if (document.errors.length > 0) return unreadable(grammarFaults(document.errors, text).map(toFault), placeOf);
  const strange = complexKeys(document);
  if (strange.length > 0) return unreadable(strange.map(toFault), placeOf);
  const faults = duplicateKeys(document).map(toFault);

  const contents = isAlias(document.contents) ? null : document.contents;
  if (contents === null || (isScalar(contents) && contents.value === null)) {
    return unreadable([{ place: top, message: messages.emptyFile() }], placeOf);
  }
  if (!isMap(contents)) {
    const found = isSeq(contents) ? 'a list' : 'a bare text or number';
    return unreadable([{ place: top, message: messages.notAMap(found) }], placeOf);
  }
  try {
    const value: unknown = document.toJS({ maxAliasCount: MOST_ALIASES });
    if (isDeeper(value, DEEPEST)) return unreadable([...faults, { place: top, message: messages.tooDeep() }], placeOf);
    const sourceAt = (path: ValuePath): string | null => {
      const node = nodeAt(document, path);
      return isScalar(node) && typeof node.value === 'number' ? (node.source ?? String(node.value)) : null;
    };
    return { value, readable: true, faults, placeOf, sourceAt };
  } catch (error) {
    // The library throws a ReferenceError for aliases that multiply.
    if (!(error instanceof ReferenceError)) throw error;
    const name = /^Unresolved alias .*: (.*)$/.exec(error.message)?.[1];
    if (name === undefined) return unreadable([...faults, { place: top, message: messages.tooManyAliases() }], placeOf);
    const place = placeAt(lines, Math.max(0, text.indexOf(`*${name}`)));
    return unreadable([...faults, { place, message: messages.unknownAnchor(shortName(name)) }], placeOf);
  }
}

/** Returns where a text nests too deeply to be handed to the parser, judged by its indents and brackets alone. */
function tooDeepAt(text: string): Place | null {
  const rows = text.split('\n');
  for (const [row, content] of rows.entries()) {
    const indent = /^[ \-?:]*/.exec(content.trimEnd())![0].length;
    if (indent > WIDEST_INDENT) return { line: row + 1, column: 1 };
  }
  let depth = 0;
  for (const [row, content] of rows.entries()) {
    for (const [opens] of content.matchAll(/[[\]{}]/g)) {
      depth = opens === '[' || opens === '{' ? depth + 1 : Math.max(0, depth - 1);
      if (depth > DEEPEST) return { line: row + 1, column: 1 };
    }
  }
  return null;
}

/** Whether data nests deeper than a limit: data that holds itself does. */
function isDeeper(value: unknown, limit: number): boolean {
  if (typeof value !== 'object' || value === null) return false;
  return limit === 0 || Object.values(value).some((inner) => isDeeper(inner, limit - 1));
}
