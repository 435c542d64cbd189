import { type Document, isAlias, isMap, isScalar, isSeq, type LineCounter, type Node } from 'yaml';
import type { Place, PlaceOf, ValuePath } from './diagnostic.ts';

/** Returns the function that tells where a value or a key of a parsed YAML document stands. */
export function yamlPlaces(document: Document.Parsed, lines: LineCounter): PlaceOf {
  return (path, { key = false } = {}) => {
    const node = key ? keyAt(document, path) : nodeAt(document, path);
    const offset = node?.range?.[0];
    return offset === undefined ? null : placeAt(lines, offset);
  };
}

/** Returns the line and column, counted from 1, of an offset into the text. */
export function placeAt(lines: LineCounter, offset: number): Place {
  const { line, col } = lines.linePos(offset);
  return { line: Math.max(1, line), column: Math.max(1, col) };
}

/**
 * Returns the node at a path, aliases followed, or null where there is none. A value that is absent or blank
 * has no node of its own: ask for its key, or for the map around it.
 */
export function nodeAt(document: Document.Parsed, path: ValuePath): Node | null {
  let node: unknown = document.contents;
  for (const step of path) {
    if (isAlias(node)) node = node.resolve(document);
    if (isMap(node)) node = node.items.findLast((pair) => keyText(pair.key) === String(step))?.value;
    else if (isSeq(node)) node = node.items[Number(step)];
    else return null;
  }
  return (node as Node | null | undefined) ?? null;
}

function keyAt(document: Document.Parsed, path: ValuePath): Node | null {
  let parent: unknown = nodeAt(document, path.slice(0, -1));
  if (isAlias(parent)) parent = parent.resolve(document);
  if (!isMap(parent)) return null;
  const key = parent.items.findLast((pair) => keyText(pair.key) === String(path.at(-1)))?.key;
  return (key as Node | undefined) ?? null;
}

function keyText(key: unknown): string | null {
  return isScalar(key) ? String(key.value) : null;
}
