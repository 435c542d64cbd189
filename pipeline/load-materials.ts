import { lstat, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Diagnostic } from '../src/project/diagnostic.ts';
import * as messages from '../src/project/messages.ts';
import { type Material, readMaterials } from '../src/room/materials.ts';
import { type OwnMaterials, readMaterialsCsv, readMaterialsYaml } from '../src/room/own-materials.ts';
import { shippedYaml } from './shipped-yaml.ts';

const LARGEST_BYTES = 1_000_000;
const OWN_FILES: readonly [name: string, read: (text: string, file: string) => OwnMaterials][] = [
  ['materials.yaml', readMaterialsYaml],
  ['materials.csv', readMaterialsCsv],
];

/**
 * The table of materials this package ships, and before it the rows of the project's own materials.yaml or materials.csv, where it has
 * them; of two rows with one id the project's counts. What is wrong with the project's own comes back as diagnostics.
 */
export async function loadMaterials(
  projectFolder: string,
): Promise<{ materials: Material[]; diagnostics: Diagnostic[] }> {
  const shipped = readMaterials(await shippedYaml('materials.yaml'));
  const read = await Promise.all(OWN_FILES.map(([name, reader]) => ownMaterials(projectFolder, name, reader)));
  const rows = [...read.flatMap(({ materials }) => materials), ...shipped];
  const byId = new Map(rows.toReversed().map((row) => [row.id, row]));
  const materials = rows.filter((row) => byId.get(row.id) === row);
  return { materials, diagnostics: read.flatMap(({ diagnostics }) => diagnostics) };
}

async function ownMaterials(folder: string, name: string, read: (typeof OWN_FILES)[number][1]): Promise<OwnMaterials> {
  const path = join(folder, name);
  const entry = await lstat(path).catch(() => null);
  const faultAt = { file: name, line: null, column: null, severity: 'error' as const };
  if (entry?.isSymbolicLink()) return { materials: [], diagnostics: [{ ...faultAt, message: messages.fileIsLink() }] };
  if (!entry?.isFile()) return { materials: [], diagnostics: [] };
  if (entry.size > LARGEST_BYTES) {
    return { materials: [], diagnostics: [{ ...faultAt, message: messages.tooLong(LARGEST_BYTES) }] };
  }
  return read(await readFile(path, 'utf8'), name);
}
