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
    [
      `materials:\n  - ${ROW.replace('}, source', '}, sauce: x, source')}\n`,
      /:2:5: .*my-board cannot be used, as "sauce" is not known/,
    ],
    ['materials:\n  - 7\n', /the material without a name cannot be used, as "the row" is missing/],
    ['materials:\n  - {name: felt}\n', /the material felt cannot be used/],
    ['materials: [\n', /^materials\.yaml:\d+:\d+: error: a bracket is not closed/],
  ])('names place and mend of what is wrong: %j', (text, expected) => {
    const { materials, diagnostics } = readMaterialsYaml(text, 'materials.yaml');
    expect(diagnostics.map(formatDiagnostic)[0]).toMatch(expected);
    expect(diagnostics).toHaveLength(1);
    expect(materials.every(({ id }) => id === 'my-board')).toBe(true);
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

  test('reads every column, spaces about a cell or a title left out, and "yes", "true" and 1 alone for fibres', () => {
    const head = 'id , name,use,thickness,air_gap,mounting,fibrous,63,8000,source';
    const row = (id: string, fibrous: string) => `${id}, felt ,absorber, 20 ,30,glued,${fibrous},0.1,0.5,leaflet`;
    const said = ['yes', 'TRUE', '1', 'no', 'yes please', 'oh yes', '11'];
    const { materials } = readMaterialsCsv(
      [head, ...said.map((each, i) => row(`m${i}`, each))].join('\n'),
      'materials.csv',
    );
    expect(materials.map(({ fibrous }) => fibrous)).toEqual([true, true, true, false, false, false, false]);
    expect(materials[0]).toEqual({
      id: 'm0',
      name: 'felt',
      use: 'absorber',
      thickness: 20,
      air_gap: 30,
      mounting: 'glued',
      fibrous: true,
      absorption: { 63: 0.1, 8000: 0.5 },
      source: 'leaflet',
    });
  });

  test('names a column it does not know, and needs both id and name in the heading', () => {
    const odd = readMaterialsCsv(`${HEAD},price\nok,ok,lining,,,,,,0.1,x,7\n`, 'materials.csv');
    expect(odd.diagnostics.map(formatDiagnostic)).toEqual([
      expect.stringMatching(/^materials\.csv:2:1: .*"price" is not known/),
    ]);
    for (const text of ['id,use\na,lining\n', 'name,use\na,lining\n', '']) {
      const { materials, diagnostics } = readMaterialsCsv(text, 'materials.csv');
      expect(materials).toEqual([]);
      expect(diagnostics.map(({ line, column }) => [line, column])).toEqual([[1, 1]]);
    }
  });

  test('says which line is wrong, and what the heading needs', () => {
    const bad = readMaterialsCsv(`${HEAD}\nok,ok,lining,,,,,,0.1,x\nodd,odd,lining,,,,,,loud,x\n`, 'materials.csv');
    expect(bad.materials.map(({ id }) => id)).toEqual(['ok']);
    expect(bad.diagnostics.map(formatDiagnostic)[0]).toMatch(/^materials\.csv:3:1: error: the material odd cannot be/);
    const headless = readMaterialsCsv('a,b\n1,2\n', 'materials.csv');
    expect(formatDiagnostic(headless.diagnostics[0]!)).toMatch(/^materials\.csv:1:1: error: the first line does not/);
  });
});
