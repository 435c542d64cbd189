import { describe, expect, test } from 'vitest';
import { formatDiagnostic } from '../../src/project/diagnostic.ts';
import { readMaterialsCsv, readMaterialsYaml } from '../../src/room/own-materials.ts';

const ROW = '{id: my-board, name: my board, use: absorber, thickness: 40, absorption: {500: 0.6}, source: leaflet}';

describe('readMaterialsYaml(text, file)', () => {
  test('gives the rows with their defaults', () => {
    const { materials, diagnostics } = readMaterialsYaml(`materials:\n  - ${ROW}\n`, 'materials.yaml');
    expect(diagnostics).toEqual([]);
    expect(materials).toEqual([
      {
        id: 'my-board',
        name: 'my board',
        use: 'absorber',
        thickness: 40,
        fibrous: false,
        absorption: { 500: 0.6 },
        source: 'leaflet',
      },
    ]);
  });

  test.each([
    ['materials:\n  - {id: x}\n', /^materials\.yaml:2:5: error: the material x cannot be used, as "name" is missing/],
    [`materials:\n  - ${ROW.replace('0.6', '6')}\n`, /"absorption 500" is missing or out of range: a row needs id/],
    [`materials:\n  - ${ROW.replace('}}', '}').replace('source', 'sauce')}\n`, /"sauce" is not known there|"source"/],
    [
      `materials:\n  - ${ROW}\n  - ${ROW}\n`,
      /^materials\.yaml:3:5: error: the material my-board stands twice: remove one/,
    ],
    ['rows: []\n', /^materials\.yaml:1:1: error: there is no list under "materials": add rows such as/],
    ['', /^materials\.yaml:1:1: error: the file is empty/],
    ['materials: [\n', /^materials\.yaml:\d+:\d+: error: a bracket is not closed/],
  ])('names place and mend of what is wrong: %j', (text, expected) => {
    const { diagnostics } = readMaterialsYaml(text, 'materials.yaml');
    expect(diagnostics.map(formatDiagnostic)[0]).toMatch(expected);
  });

  test('keeps the rows that are right beside one that is wrong', () => {
    const { materials, diagnostics } = readMaterialsYaml(`materials:\n  - {id: x}\n  - ${ROW}\n`, 'materials.yaml');
    expect(materials.map(({ id }) => id)).toEqual(['my-board']);
    expect(diagnostics).toHaveLength(1);
  });
});

describe('readMaterialsCsv(text, file)', () => {
  const HEAD = 'id,name,use,thickness,air_gap,fibrous,125,250,500,source';
  test('gives the same rows as YAML; a blank cell is left out', () => {
    const text = `\ufeff${HEAD}\r\nmy-board,"my board, cloth",absorber,40,,yes,,0.3,0.6,leaflet\r\n\r\n`;
    const { materials, diagnostics } = readMaterialsCsv(text, 'materials.csv');
    expect(diagnostics).toEqual([]);
    expect(materials).toEqual([
      {
        id: 'my-board',
        name: 'my board, cloth',
        use: 'absorber',
        thickness: 40,
        fibrous: true,
        absorption: { 250: 0.3, 500: 0.6 },
        source: 'leaflet',
      },
    ]);
  });

  test('says which line is wrong, and what the heading needs', () => {
    const bad = readMaterialsCsv(`${HEAD}\nok,ok,lining,,,,,,0.1,x\nodd,odd,lining,,,,,,loud,x\n`, 'materials.csv');
    expect(bad.materials.map(({ id }) => id)).toEqual(['ok']);
    expect(bad.diagnostics.map(formatDiagnostic)[0]).toMatch(/^materials\.csv:3:1: error: the material odd cannot be/);
    const headless = readMaterialsCsv('a,b\n1,2\n', 'materials.csv');
    expect(formatDiagnostic(headless.diagnostics[0]!)).toMatch(/^materials\.csv:1:1: error: the first line does not/);
  });
});
