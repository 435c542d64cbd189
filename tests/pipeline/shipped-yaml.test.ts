import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { packageFolder, resource } from '../../pipeline/resources.ts';
import { shippedYaml } from '../../pipeline/shipped-yaml.ts';

const words = readdirSync(resource('words')).map((file) => `words/${file}`);

it.each(['materials.yaml', ...words])('the build holds %s as JSON, the same values in the same order', async (name) => {
  const built = join(packageFolder(), 'dist', 'templates', name.replace('.yaml', '.json'));
  const read: unknown = JSON.parse(readFileSync(built, 'utf8'));
  const written = await shippedYaml(name);
  expect(read).toStrictEqual(written);
  expect(JSON.stringify(read)).toBe(JSON.stringify(written));
  expect(Object.keys(written as object).length).toBeGreaterThan(0);
});
