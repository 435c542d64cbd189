import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { $ } from 'zx';
import { type LockedPackage, licenceFaults, licenceList, shippedPackages } from './licence-list.ts';

const root = join(dirname(fileURLToPath(import.meta.url)), '..');
const read = (...path: string[]) => readFileSync(join(root, ...path), 'utf8');
const locked = (JSON.parse(read('package-lock.json')) as { packages: Record<string, LockedPackage> }).packages;
const shipped = shippedPackages(locked);

interface Manifest {
  license?: string;
  dependencies: Record<string, string>;
  optionalDependencies: Record<string, string>;
  devDependencies: Record<string, string>;
}

/** A package in a bill of materials, in the form of CycloneDX 1.5. */
interface Component {
  name: string;
  version: string;
  licenses: [{ license?: { id: string }; expression?: string }];
}
const manifest = JSON.parse(read('package.json')) as Manifest;

describe('licences of what is shipped', () => {
  it('are all allowed, or were weighed one by one', () => {
    expect(shipped.length).toBeGreaterThan(100);
    expect(licenceFaults(shipped)).toEqual([]);
  });

  it('would be refused for a new package under the GPL, without a licence, or with a weighed one that is no longer optional', () => {
    const added = {
      'node_modules/a': { version: '1.0.0', license: 'GPL-3.0-only' },
      'node_modules/b': { version: '1.0.0' },
      'node_modules/c': { version: '1.0.0', license: 'MIT AND CC-BY-NC-4.0' },
      'node_modules/d': { version: '1.0.0', license: 'GPL-2.0', optional: true },
      'node_modules/@audio/decode-aac': { version: '1.0.0', license: 'GPL-2.0' },
      'node_modules/e': { version: '1.0.0', license: 'GPL-3.0-only', dev: true },
      'node_modules/f/node_modules/g': { version: '1.0.0', license: 'MIT' },
    };
    expect(licenceFaults(shippedPackages(added))).toEqual([
      '@audio/decode-aac 1.0.0: GPL-2.0',
      'a 1.0.0: GPL-3.0-only',
      'b 1.0.0: none',
      'c 1.0.0: MIT AND CC-BY-NC-4.0',
      'd 1.0.0: GPL-2.0, optional',
    ]);
  });

  it('are those that each installed package declares', () => {
    const installed = shipped.filter(({ path }) => existsSync(join(root, path, 'package.json')));
    expect(installed.length).toBeGreaterThan(100);
    const differ = installed.filter(
      ({ path, licence }) => (JSON.parse(read(path, 'package.json')) as Manifest).license !== licence,
    );
    expect(differ.map(({ path }) => path)).toEqual([]);
  });

  it('stand in the list for readers', async () => {
    await expect(licenceList(shipped)).toMatchFileSnapshot(join(root, 'THIRD-PARTY-LICENCES.md'));
  });
});

it('what is joined to the built files has its licence there, and none of it is under the GPL or the LGPL', () => {
  const text = read('dist/LICENCES-OF-PARTS.txt');
  const named = [...text.matchAll(/^(\S+) (\d\S*) \((.+)\)$/gm)].map(([, name, version, licence]) => {
    return { name: name!, version: version!, licence: licence! };
  });
  expect(named.length).toBeGreaterThan(100);
  expect(named.filter(({ licence }) => /GPL/.test(licence))).toEqual([]);
  const known = new Set(shipped.map(({ name, version, licence }) => `${name} ${version} (${licence})`));
  expect(named.map((one) => `${one.name} ${one.version} (${one.licence})`).filter((one) => !known.has(one))).toEqual(
    [],
  );
  // As many packages of the MIT licence as there are, its words stand for them.
  expect(text).toContain('Permission is hereby granted, free of charge');
});

it('the bill of materials names every package that is shipped, with its licence, in both forms', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'decaybook-sbom-'));
  await $({ cwd: root, quiet: true })`bash .ci/sbom.sh ${folder}`;
  const wanted = new Set(shipped.map(({ name, version, licence }) => `${name} ${version}: ${licence}`));
  const bill = (name: string): unknown => JSON.parse(readFileSync(join(folder, name), 'utf8'));
  const { components } = bill('sbom.cdx.json') as { components: Component[] };
  const byCycloneDx = components.map(({ name, version, licenses: [{ license, expression }] }) => {
    return `${name} ${version}: ${expression ?? license!.id}`;
  });
  const { packages } = bill('sbom.spdx.json') as {
    packages: { name: string; versionInfo: string; licenseDeclared: string }[];
  };
  const bySpdx = packages.map(({ name, versionInfo, licenseDeclared }) => `${name} ${versionInfo}: ${licenseDeclared}`);
  rmSync(folder, { recursive: true });
  expect(byCycloneDx.sort()).toEqual([...wanted].sort());
  expect(bySpdx.filter((line) => !line.startsWith('decaybook ')).sort()).toEqual([...wanted].sort());
}, 60_000);

describe('the reasons for dependencies', () => {
  const section = read('DEVELOPERS.md').split('\n## Why each dependency\n')[1]!.split('\n## ')[0]!;

  /** The packages that the first column of a table names, and what marks them. */
  function rows(title: string): string[] {
    const table = section.split(`| package | ${title} |`)[1]!.split('\n\n')[0]!;
    return [...table.matchAll(/^\| ([^|]+) \| [^|\s]/gm)].flatMap((found) => found[1]!.split(', ')).sort();
  }

  it('stand for all that is shipped, and for nothing else', () => {
    const { dependencies, optionalDependencies } = manifest;
    const optional = Object.keys(optionalDependencies).map((name) => `${name} (optional)`);
    expect(rows('why it is shipped')).toEqual([...Object.keys(dependencies), ...optional].sort());
  });

  it('stand for all that developers need, and for nothing else', () => {
    expect(rows('why it is here for development')).toEqual(Object.keys(manifest.devDependencies).sort());
  });
});
