import type { Results } from './results.ts';

/** The format of results.json that this version writes. */
export const RESULTS_FORMAT = 'decaybook-results/1';

/** What a text in a format of this tool turned out to be. */
export type FormatFound<T> =
  | { is: 'read'; value: T }
  /** Written by a later version in a format that this one does not know; `tool` is its version, null where it does not say. */
  | { is: 'newer'; format: number; tool: string | null }
  /** Not what its name promises: damaged, or written by something else. */
  | { is: 'damaged' };

/**
 * The results in a results.json, of this format or an earlier one. Parts that earlier versions did not write are absent, as they are
 * where there is nothing to say.
 */
export function readResults(text: string): FormatFound<Results> {
  return readFormat(text, RESULTS_FORMAT, (value) => (isResults(value) ? value : null));
}

/**
 * What a JSON text whose `format` reads `name/number` holds, told apart by that number before anything else is looked at.
 *
 * @param current the format of this version; one of the same name with a higher number is newer
 * @param understood the value as this version knows it, null where it is not that
 */
export function readFormat<T>(
  text: string,
  current: string,
  understood: (value: Record<string, unknown>) => T | null,
): FormatFound<T> {
  const value = jsonOf(text);
  if (!isRecord(value)) return { is: 'damaged' };
  const [name, number] = current.split('/');
  const found = typeof value.format === 'string' ? /^([a-z-]+)\/(\d{1,6})$/.exec(value.format) : null;
  if (found === null || found[1] !== name || Number(found[2]) < 1) return { is: 'damaged' };
  if (Number(found[2]) > Number(number)) {
    const { tool } = value;
    const version = isRecord(tool) && typeof tool.version === 'string' ? tool.version : null;
    return { is: 'newer', format: Number(found[2]), tool: version };
  }
  const read = understood(value);
  return read === null ? { is: 'damaged' } : { is: 'read', value: read };
}

function isResults(value: unknown): value is Results {
  if (!isRecord(value) || !isRecord(value.project)) return false;
  return [value.takes, value.stages, value.changes].every(Array.isArray);
}

function jsonOf(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
