import { describe, expect, test } from 'vitest';
import type { ValuePath } from '../../src/project/diagnostic.ts';
import { projectSchema } from '../../src/project/project.ts';
import { hintAt, knownKeys, projectJsonSchema } from '../../src/project/schema-facts.ts';

/** Paths of all fields of the project file, lists entered at their first entry. */
function fields(path: ValuePath = []): ValuePath[] {
  return knownKeys(path).flatMap((key) => {
    const here = [...path, key];
    return [here, ...fields(here), ...fields([...here, 0]), ...(key === 'positions' ? fields([...here, 'A']) : [])];
  });
}

describe('schema of the project file', () => {
  test('says of every field what it means and gives an example of it', () => {
    const all = fields();
    expect(all.length).toBeGreaterThan(60);
    const silent = all.filter((path) => hintAt(path).meaning === '' || hintAt(path).example === '');
    expect(silent).toEqual([]);
  });

  test('gives examples that it takes itself', () => {
    const { properties } = projectJsonSchema();
    const whole = Object.fromEntries(
      Object.entries(properties ?? {}).map(([key, schema]) => [key, (schema as { examples: unknown[] }).examples[0]]),
    );
    expect(projectSchema.safeParse(whole).error).toBeUndefined();
  });

  test('hintAt of a place without an example gives that of what is around it', () => {
    expect(hintAt(['positions', 'A', 'microphone', 1])).toEqual({
      example: '[2.1, 1.2, 1.4]',
      meaning: 'metres along length, width and height from one corner',
    });
  });
});
