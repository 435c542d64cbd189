import { mkdir, readFile, writeFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { parse } from 'yaml';
import { BUILT, packageFolder, resource } from './resources.ts';

/**
 * What a YAML file under templates/ holds, such as `shippedYaml('words/en.yaml')`. People write YAML; reading it takes a hundred times as long
 * as JSON, so a build has it as JSON, and only the sources read it as it is.
 */
export async function shippedYaml(name: string): Promise<unknown> {
  if (BUILT) return JSON.parse(await readFile(jsonPath(name), 'utf8'));
  return parse(await readFile(resource(name), 'utf8'));
}

/** Part of the build: writes a YAML file under templates/ as JSON. */
export async function writeShippedJson(name: string): Promise<void> {
  await mkdir(dirname(jsonPath(name)), { recursive: true });
  await writeFile(jsonPath(name), JSON.stringify(parse(await readFile(resource(name), 'utf8'))));
}

function jsonPath(name: string): string {
  return join(packageFolder(), 'dist', 'templates', name.replace(/\.yaml$/, '.json'));
}
