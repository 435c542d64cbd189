import type * as z from 'zod';
import type { ValuePath } from './diagnostic.ts';

/**
 * Returns a copy of plain data without the keys that were left blank, and the paths of those. A template is filled in bit
 * by bit, so a blank key counts as one left out. A blank position is one of which nothing is known but its name.
 */
export function withoutBlanks(value: unknown): { value: unknown; blanks: ValuePath[] } {
  const blanks: ValuePath[] = [];
  const copy = (inner: unknown, path: ValuePath): unknown => {
    if (Array.isArray(inner)) return inner.map((item, i) => copy(item, [...path, i]));
    if (typeof inner !== 'object' || inner === null) return inner;
    const kept: [string, unknown][] = [];
    for (const [key, entry] of Object.entries(inner)) {
      const here = [...path, key];
      if (entry !== null) kept.push([key, copy(entry, here)]);
      else if (path.length === 1 && path[0] === 'positions') kept.push([key, {}]);
      else blanks.push(here);
    }
    return Object.fromEntries(kept);
  };
  return { value: copy(value, []), blanks };
}

/**
 * Returns the outcome of a schema over plain data in which numbers stand where texts are wanted: `title: 2026` and
 * `reference: 007` are taken as they are spelled. `value` is changed in place.
 */
export function withNumbersAsText<T extends z.ZodType>(
  schema: T,
  value: unknown,
  sourceAt: (path: ValuePath) => string | null,
): z.ZodSafeParseResult<z.infer<T>> {
  const first = schema.safeParse(value);
  if (first.success) return first;
  let changed = false;
  for (const issue of first.error.issues) {
    const wantsText = issue.code === 'invalid_type' && issue.expected === 'string';
    if (!wantsText && issue.code !== 'invalid_union') continue;
    const path = issue.path.map((step) => (typeof step === 'number' ? step : String(step)));
    const source = sourceAt(path);
    if (source === null) continue;
    const holder = path.slice(0, -1).reduce<unknown>((inner, step) => (inner as Record<string, unknown>)[step], value);
    (holder as Record<string, unknown>)[path.at(-1)!] = source;
    changed = true;
  }
  return changed ? schema.safeParse(value) : first;
}
