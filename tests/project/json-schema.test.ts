import { readFileSync } from 'node:fs';
import { Ajv } from 'ajv';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { projectJsonSchema } from '../../src/project/schema-facts.ts';

const file = new URL('../../templates/project.schema.json', import.meta.url);

describe('templates/project.schema.json', () => {
  test('is what the schema of the project file makes today (npm run schema writes it)', () => {
    expect(JSON.parse(readFileSync(file, 'utf8'))).toEqual(JSON.parse(JSON.stringify(projectJsonSchema())));
  });

  test('is a valid JSON Schema of draft 7 that takes a sound project and refuses an unknown key', () => {
    const validate = new Ajv({ strict: false, validateFormats: false }).compile(JSON.parse(readFileSync(file, 'utf8')));
    const sound = parse('decaybook: 1\ntitle: Room\ndate: 2026-05-12\nstages: [{id: bare}]\n');
    expect(validate(sound)).toBe(true);
    expect(validate({ ...sound, rom: {} })).toBe(false);
    expect(validate({ ...sound, stages: [] })).toBe(false);
  });
});
