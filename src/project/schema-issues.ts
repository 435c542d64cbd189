import type * as z from 'zod';
import type { Place, PlaceOf, ValuePath } from './diagnostic.ts';
import { didYouMean } from './did-you-mean.ts';
import * as messages from './messages.ts';
import { OCTAVES } from './project.ts';
import { hintAt, knownKeys } from './schema-facts.ts';
import { shortName } from './short-name.ts';

type Issue = z.core.$ZodIssue;

interface Found {
  /** The data the schema was held against. */
  value: unknown;
  /** Keys written without a value. */
  blanks: readonly ValuePath[];
  placeOf: PlaceOf;
}

interface Fault {
  place: Place | null;
  message: string;
}

/** Returns what the schema found as sentences, each with its place in the project file. */
export function explainIssues(issues: readonly Issue[], found: Found): Fault[] {
  // A value of the wrong type may fail a check of its size as well: the type is the better reason, and comes first.
  const paths = issues.map(({ path, code }) => `${code === 'unrecognized_keys'} ${path.join('\n')}`);
  return issues
    .slice(0, messages.MOST_FAULTS)
    .filter((_, i) => paths.indexOf(paths[i]!) === i)
    .flatMap((issue) => explainIssue(issue, found));
}

function explainIssue(issue: Issue, found: Found): Fault[] {
  const path = issue.path.map((step) => (typeof step === 'number' ? step : String(step)));
  if (issue.code === 'unrecognized_keys')
    return issue.keys.slice(0, messages.MOST_FAULTS).map((key) => unknownKey(path, key, found));
  if (issue.code === 'invalid_key') {
    const key = messages.badId(`the position name`, quoted(path.at(-1)));
    return [{ place: found.placeOf(path, { key: true }), message: key }];
  }
  const value = valueAt(found.value, path);
  if (value === undefined) return [missing(path, found)];
  return [{ place: placeOfValue(path, found.placeOf), message: wrongValue(issue, path, value) }];
}

function unknownKey(path: ValuePath, key: string, { placeOf }: Found): Fault {
  const place = placeOf([...path, key], { key: true }) ?? placeOfValue(path, placeOf);
  const known = knownKeys(path);
  if (path.at(-1) === 'absorption') return { place, message: messages.unknownOctave(shortName(key), OCTAVES) };
  return { place, message: messages.unknownKey(shortName(key), didYouMean(key, known), known) };
}

function missing(path: ValuePath, { blanks, placeOf }: Found): Fault {
  const name = nameOf(path);
  const blank = blanks.some((other) => other.join('\n') === path.join('\n'));
  if (blank) return { place: placeOf(path, { key: true }), message: messages.blankKey(name, hintAt(path)) };
  if (path.length === 1 && path[0] === 'decaybook') return { place: null, message: messages.wrongFormat() };
  const top = path.length === 1;
  return {
    place: top ? null : placeOfValue(path.slice(0, -1), placeOf),
    message: messages.missingKey(name, hintAt(path)),
  };
}

function wrongValue(issue: Issue, path: ValuePath, value: unknown): string {
  const name = nameOf(path);
  const hint = hintAt(path);
  if (path[0] === 'compare' && issue.code !== 'invalid_format') return messages.pairIncomplete();
  switch (issue.code) {
    case 'invalid_type':
      return messages.wrongType(name, wantedType(issue.expected), described(value), hint);
    case 'invalid_union':
      return messages.wrongType(name, 'a text or a list of texts', described(value), hint);
    case 'invalid_value':
      return wrongWord(issue, path, value);
    case 'invalid_format':
      return wrongFormat(path, value);
    case 'too_small':
    case 'too_big':
      return outOfRange(issue, path, value);
    default:
      return messages.notUnderstood(name, hint);
  }
}

function wrongWord(issue: z.core.$ZodIssueInvalidValue, path: ValuePath, value: unknown): string {
  if (path.length === 1 && path[0] === 'decaybook') {
    return typeof value === 'number' && value > 1 ? messages.newerFormat(String(value)) : messages.wrongFormat();
  }
  const known = issue.values.map(String);
  const guess = typeof value === 'string' ? didYouMean(value, known) : null;
  return messages.unknownWord(nameOf(path), quoted(value), guess, known);
}

function wrongFormat(path: ValuePath, value: unknown): string {
  const key = path.at(-1);
  if (key === 'date') return messages.badDate('date', quoted(value));
  if (key === 'colour') return messages.badColour(quoted(value));
  if (key === 'currency') return messages.badCurrency(quoted(value));
  return messages.badId(path[0] === 'compare' ? 'the stage name' : `the ${nameOf(path)}`, quoted(value));
}

function outOfRange(issue: z.core.$ZodIssueTooSmall | z.core.$ZodIssueTooBig, path: ValuePath, value: unknown): string {
  const name = nameOf(path);
  const hint = hintAt(path);
  if (path.length === 1 && path[0] === 'stages') return messages.noStages();
  if (typeof value === 'string') return messages.emptyText(name, hint);
  if (Array.isArray(value)) {
    return path.at(-1) === 'files'
      ? messages.wrongCount(name, 'at least one recording', hint)
      : messages.wrongCount(name, 'exactly three numbers', hint);
  }
  return messages.outOfRange(name, String(value), limitInWords(issue), hint);
}

function limitInWords(issue: z.core.$ZodIssueTooSmall | z.core.$ZodIssueTooBig): string {
  if (issue.code === 'too_big') return `at most ${issue.maximum}`;
  return issue.inclusive === false ? `more than ${issue.minimum}` : `at least ${issue.minimum}`;
}

/** The place of a value, or of the nearest thing around it that has one. */
function placeOfValue(path: ValuePath, placeOf: PlaceOf): Place | null {
  for (let length = path.length; length > 0; length--) {
    const place = placeOf(path.slice(0, length));
    if (place !== null) return place;
  }
  return null;
}

/** The last key of a path, with the number of the entry where the path ends in a list: `microphone[2]`, counted from 1. */
function nameOf(path: ValuePath): string {
  const last = path.at(-1);
  if (typeof last !== 'number') return shortName(String(last ?? 'file'));
  return `${nameOf(path.slice(0, -1))}, entry ${last + 1}`;
}

function valueAt(value: unknown, path: ValuePath): unknown {
  return path.reduce<unknown>((inner, step) => {
    if (typeof inner !== 'object' || inner === null || !Object.hasOwn(inner, step)) return undefined;
    return (inner as Record<string | number, unknown>)[step];
  }, value);
}

function wantedType(expected: string): string {
  const words: Record<string, string> = {
    string: 'a text',
    number: 'a number',
    int: 'a whole number',
    boolean: 'true or false',
    array: 'a list',
    tuple: 'a list',
    object: 'keys of its own, indented under it',
    record: 'keys of its own, indented under it',
  };
  return words[expected] ?? 'another kind of value';
}

function described(value: unknown): string {
  if (value === null) return 'blank';
  if (Array.isArray(value)) return 'a list';
  if (typeof value === 'object') return 'a group of keys';
  if (typeof value === 'string') return `the text ${quoted(value)}`;
  return String(value);
}

function quoted(value: unknown): string {
  if (typeof value === 'object' && value !== null) return described(value);
  return `"${shortName(String(value))}"`;
}
