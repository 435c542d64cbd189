import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const root = join(dirname(fileURLToPath(import.meta.url)), '..');

/** Who may import whom: a folder may import itself and the folders listed. Everything not listed is refused. */
const MAY_IMPORT: Record<string, readonly string[]> = {
  'src/signal': [],
  'src/project': [],
  'src/audio': ['src/signal', 'src/project'],
  'src/room': ['src/signal', 'src/project'],
  'src/statistics': ['src/room', 'src/signal', 'src/project'],
  'src/advice': ['src/room', 'src/statistics', 'src/project'],
  'src/charts': ['src/room', 'src/statistics', 'src/advice', 'src/report', 'src/project', 'src/audio', 'src/signal'],
  'src/report': ['src/room', 'src/statistics', 'src/advice', 'src/project', 'src/audio', 'src/signal'],
  pipeline: [
    'src/signal',
    'src/project',
    'src/audio',
    'src/room',
    'src/statistics',
    'src/advice',
    'src/charts',
    'src/report',
  ],
};

/** Packages that pure code may use: computation without files, clock or network. */
const PURE_PACKAGES = [
  'zod',
  'yaml',
  'picomatch',
  'fastest-levenshtein',
  'fft.js',
  'wavefile',
  'vega-lite',
  'intl-messageformat',
  'd3-dsv',
  '@stdlib/',
];

/** What would make a pure function depend on the machine, the moment or chance. */
const IMPURE =
  /\bconsole\.|\bMath\.random\(|\bDate\.now\(|\bnew Date\(\)|\bprocess\.|\bfetch\(|\bglobalThis\.|\bperformance\./;

interface SourceFile {
  path: string;
  folder: string;
  text: string;
  imports: string[];
}

function sourceFiles(top: string): SourceFile[] {
  return readdirSync(join(root, top), { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.ts'))
    .map((name) => {
      const path = join(top, name).split(sep).join('/');
      const text = readFileSync(join(root, path), 'utf8');
      const imports = [...text.matchAll(/(?:from\s+|import\(\s*|import\s+)'([^']+)'/g)].map((found) => found[1]!);
      const parts = path.split('/');
      return { path, folder: parts[0] === 'src' ? parts.slice(0, 2).join('/') : parts[0]!, text, imports };
    });
}

const files = [...sourceFiles('src'), ...sourceFiles('pipeline')];

function folderOf(from: string, specifier: string): string {
  const target = relative(root, join(root, dirname(from), specifier)).split(sep);
  return target[0] === 'src' ? target.slice(0, 2).join('/') : target[0]!;
}

describe('structure', () => {
  it('finds the source, so that the checks below cannot pass on nothing', () => {
    expect(files.length).toBeGreaterThan(20);
    expect(files.flatMap((file) => file.imports).length).toBeGreaterThan(40);
  });

  it('every folder imports only what the table allows', () => {
    const refused = files.flatMap((file) =>
      file.imports
        .filter((specifier) => specifier.startsWith('.'))
        .map((specifier) => ({ specifier, target: folderOf(file.path, specifier) }))
        .filter(({ target }) => target !== file.folder && !(MAY_IMPORT[file.folder] ?? []).includes(target))
        .map(({ specifier }) => `${file.path} imports ${specifier}`),
    );
    expect(refused).toEqual([]);
  });

  it('src uses no package that reaches outside', () => {
    const refused = files
      .filter((file) => file.path.startsWith('src/'))
      .flatMap((file) =>
        file.imports
          .filter((specifier) => !specifier.startsWith('.'))
          .filter((specifier) => !PURE_PACKAGES.some((name) => specifier === name || specifier.startsWith(name)))
          .map((specifier) => `${file.path} imports ${specifier}`),
      );
    expect(refused).toEqual([]);
  });

  it('src reads no clock, no chance, no environment', () => {
    const code = (text: string) => text.replace(/\/\*[\s\S]*?\*\/|\/\/.*$/gm, '');
    const refused = files.filter((file) => file.path.startsWith('src/') && IMPURE.test(code(file.text)));
    expect(refused.map((file) => file.path)).toEqual([]);
  });

  it('every exported function of src carries a docstring', () => {
    const bare = files
      .filter((file) => file.path.startsWith('src/'))
      .flatMap((file) =>
        [...file.text.matchAll(/(?:^|\n)([^\n]*)\n(export (?:async )?function (\w+))/g)]
          .filter((found) => !found[1]!.trimEnd().endsWith('*/'))
          .map((found) => `${file.path}: ${found[3]}`),
      );
    expect(bare).toEqual([]);
  });
});
