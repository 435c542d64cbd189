import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { stringify } from 'yaml';
import { parseProject } from '../../src/project/parse-project.ts';
import { knownKeys } from '../../src/project/schema-facts.ts';

/** Whatever comes in, faults come out as values with a place in the text, and a project only where there is no error. */
function holds(text: string): void {
  const { project, diagnostics } = parseProject(text, 'project.yaml');
  const errors = diagnostics.filter(({ severity }) => severity === 'error');
  expect(project === null).toBe(errors.length > 0);
  const lines = text.split('\n').length;
  for (const { line, column, message } of diagnostics) {
    expect(line).toBeGreaterThanOrEqual(1);
    expect(line).toBeLessThanOrEqual(lines + 1);
    expect(column).toBeGreaterThanOrEqual(1);
    expect(message).not.toMatch(/undefined|\[object|Invalid input/);
  }
}

const yamlish = fc.string({ unit: fc.constantFrom(...'ab1:-[]{},&*!|>\'"%@`#?\n\t ~'), maxLength: 60 });
const keys = fc.oneof(
  fc.constantFrom(...knownKeys([]), ...knownKeys(['stages', 0]), ...knownKeys(['room'])),
  fc.string(),
);
const values = fc.letrec((tie) => ({
  any: fc.oneof(
    { depthSize: 'small' },
    fc.jsonValue({ maxDepth: 1 }),
    fc.array(tie('any'), { maxLength: 3 }),
    fc.dictionary(keys, tie('any'), { maxKeys: 4 }),
  ),
})).any;

describe('parseProject never throws', () => {
  test('on any string', () => {
    fc.assert(fc.property(fc.string({ unit: 'binary', maxLength: 200 }), holds), { numRuns: 300, seed: 1 });
  });

  test('on strings made of what YAML takes for grammar', () => {
    fc.assert(fc.property(yamlish, holds), { numRuns: 1000, seed: 2 });
  });

  test('on any YAML value under the keys of the project file', () => {
    const sound = { decaybook: 1, title: 'Room', date: '2026-05-12', stages: [{ id: 'bare' }] };
    const damaged = fc.dictionary(keys, values, { maxKeys: 5 }).map((extra) => stringify({ ...sound, ...extra }));
    fc.assert(fc.property(damaged, holds), { numRuns: 250, seed: 3 });
  });

  test('on a sound file cut off or damaged at any place', () => {
    const text =
      'decaybook: 1\ntitle: "Room"\ndate: 2026-05-12\nstages:\n  - {id: bare, takes: [{files: a.wav}]}\n  - id: b\n';
    const damaged = fc
      .tuple(fc.nat(text.length), fc.nat(3), fc.string({ unit: fc.constantFrom(...':-[]{}\n\t "'), maxLength: 2 }))
      .map(([at, removed, added]) => text.slice(0, at) + added + text.slice(at + removed));
    fc.assert(fc.property(damaged, holds), { numRuns: 500, seed: 4 });
  });
});
