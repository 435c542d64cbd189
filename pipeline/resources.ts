import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

/** Whether this is the built program, not its sources as the tests run them. */
export const BUILT = !import.meta.url.endsWith('.ts');

/**
 * Returns the folder of this package: the nearest one upwards whose package.json bears its name. So templates are found
 * from the sources, from the built files in dist/ and from an installed package alike. Throws where there is none.
 */
export function packageFolder(): string {
  let folder = dirname(fileURLToPath(import.meta.url));
  while (!isPackage(folder)) {
    const parent = dirname(folder);
    if (parent === folder) throw new Error('the package of decaybook is not above its own files');
    folder = parent;
  }
  return folder;
}

/** Returns the path of a file under templates/, such as `resource('project.schema.json')`. */
export function resource(...names: string[]): string {
  return join(packageFolder(), 'templates', ...names);
}

/** Returns the version of this package. */
export function packageVersion(): string {
  const { version } = JSON.parse(readFileSync(join(packageFolder(), 'package.json'), 'utf8')) as { version: string };
  return version;
}

function isPackage(folder: string): boolean {
  const file = join(folder, 'package.json');
  if (!existsSync(file)) return false;
  const { name } = JSON.parse(readFileSync(file, 'utf8')) as { name?: string };
  return name === 'decaybook';
}
