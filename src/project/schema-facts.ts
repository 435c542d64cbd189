import * as z from 'zod';
import type { ValuePath } from './diagnostic.ts';
import type { Hint } from './messages.ts';
import { projectSchema } from './project.ts';

type JsonSchema = z.core.JSONSchema.BaseSchema;

/**
 * Returns the JSON Schema of the project file (draft 7), as editors complete from: what may be written, before defaults
 * are filled in.
 */
export function projectJsonSchema(): JsonSchema {
  const schema = z.toJSONSchema(projectSchema, { io: 'input', target: 'draft-7' }) as JsonSchema;
  return { ...schema, title: 'Decaybook project file' };
}

/** Returns the keys the project file knows at a path, in the order of the schema; none where any key is allowed. */
export function knownKeys(path: ValuePath): string[] {
  const schema = schemaAt(path);
  return asSchema(schema?.propertyNames)?.enum?.map(String) ?? Object.keys(schema?.properties ?? {});
}

/** Returns an example and the meaning of the value at a path, or of the nearest thing around it that has an example. */
export function hintAt(path: ValuePath): Hint {
  for (let length = path.length; length > 0; length--) {
    const schema = schemaAt(path.slice(0, length));
    const example = schema?.examples?.[0];
    if (example !== undefined) return { example: inYaml(example), meaning: schema?.description ?? '' };
  }
  return { example: 'title: My room', meaning: '' };
}

/** Made once: the schema never changes while the program runs. */
let memo: JsonSchema | null = null;

function schemaAt(path: ValuePath): JsonSchema | null {
  memo ??= projectJsonSchema();
  let schema: JsonSchema | null = memo;
  for (const step of path) schema = schema === null ? null : child(schema, step);
  return schema;
}

function child(schema: JsonSchema, step: string | number): JsonSchema | null {
  if (typeof step === 'number') {
    const items = Array.isArray(schema.items) ? schema.items[step] : schema.items;
    return asSchema(items);
  }
  const own = Object.hasOwn(schema.properties ?? {}, step) ? schema.properties?.[step] : undefined;
  return asSchema(own ?? schema.additionalProperties);
}

function asSchema(value: unknown): JsonSchema | null {
  return typeof value === 'object' && value !== null ? (value as JsonSchema) : null;
}

/** Writes a value as a person would in YAML, on one line. */
function inYaml(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(inYaml).join(', ')}]`;
  if (typeof value === 'object' && value !== null) {
    const pairs = Object.entries(value).map(([key, entry]) => `${key}: ${inYaml(entry)}`);
    return `{${pairs.join(', ')}}`;
  }
  const text = String(value);
  return typeof value === 'string' && /^[#@`]/.test(text) ? `"${text}"` : text;
}
