import { expect, test } from 'vitest';
import { checkMaterials } from '../../src/project/check-materials.ts';
import { formatDiagnostic } from '../../src/project/diagnostic.ts';
import { parseProject } from '../../src/project/parse-project.ts';

const KNOWN = ['gypsum-on-studs', 'window-glass', 'plate-glass'];

function shown(material: string): string[] {
  const text = `decaybook: 1\ntitle: Room\ndate: 2026-05-12\nstages: [{id: bare}]\nroom:\n  length: 5\n  width: 4\n  height: 3\n  surfaces:\n    - {name: walls, area: 45, material: ${material}}\n`;
  const { project, placeOf } = parseProject(text, 'project.yaml');
  return checkMaterials(project!, KNOWN, { placeOf, file: 'project.yaml' }).map(formatDiagnostic);
}

test('a material of the table raises nothing', () => {
  expect(shown('gypsum-on-studs')).toEqual([]);
});

test.each([
  ['gypsum-on-stud', 'did you mean gypsum-on-studs?'],
  ['glass window', 'did you mean window-glass?'],
  ['velvet', 'use the id of a row, or add a row of your own in materials.yaml beside the project file'],
])('%s is named at its place, with the mend', (material, mend) => {
  expect(shown(material)).toEqual([
    `project.yaml:10:41: warning: ${material} is in no table of materials, so the bare room is not predicted from its surfaces: ${mend}`,
  ]);
});
