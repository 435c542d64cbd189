/** So many changed inputs are named. */
const MOST_NAMED = 3;

/**
 * Why a step has to run, in words, from the text of its key now and of the key under which the same thing was last made; null
 * where it never was.
 */
export function reasonToMake(key: string, last: string | null): string {
  if (last === null) return 'not made before';
  if (key === last) return 'what was kept of it is gone or damaged';
  const [now, before] = [key, last].map((text) => JSON.parse(text) as Record<string, unknown>) as [
    Record<string, unknown>,
    Record<string, unknown>,
  ];
  if (now.version !== before.version) return 'this version of the tool makes it otherwise';
  const changed = differences(now.inputs, before.inputs, '');
  if (changed.length === 0) return 'the code of the tool has changed';
  const named = changed.slice(0, MOST_NAMED).join(', ');
  const more = changed.length - MOST_NAMED;
  return `changed: ${named}${more > 0 ? ` and ${more} more` : ''}`;
}

/** Paths of what differs between two values that came from JSON, such as `project.room.length`. */
function differences(now: unknown, before: unknown, path: string): string[] {
  if (!isRecord(now) || !isRecord(before)) {
    return JSON.stringify(now) === JSON.stringify(before) ? [] : [path];
  }
  const names = [...new Set([...Object.keys(now), ...Object.keys(before)])].sort((a, b) => (a < b ? -1 : 1));
  return names.flatMap((name) => differences(now[name], before[name], path === '' ? name : `${path}.${name}`));
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
