import { readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { build } from 'esbuild';
import { BUILD_ID_FILE, fingerprintBuild } from './code-id.ts';
import { packageFolder, resource } from './resources.ts';
import { writeShippedJson } from './shipped-yaml.ts';

// The last step of the build: what was compiled into build/ becomes dist/, the command line and its worker thread with most packages in a few
// files each, since finding and opening hundreds took longer than reading them. What is loaded late stays a file of its own.

/**
 * Packages that stay as they are: they look for files beside themselves, may be absent, have a licence that asks for it, or are of the old
 * kind and loaded late, when only Node finds their names.
 */
const APART = [
  '@audio/*',
  '@silvia-odwyer/photon-node',
  '@sparticuz/chromium',
  'esbuild',
  'proper-lockfile',
  'tinypool',
];
/** Packages of the old kind ask for others by this function, which modules lack. */
const REQUIRE =
  "import { createRequire as requireFrom } from 'node:module'; const require = requireFrom(import.meta.url);";

const root = packageFolder();
const [compiled, dist] = [join(root, 'build'), join(root, 'dist')];

rmSync(dist, { recursive: true, force: true });
const { metafile } = await build({
  absWorkingDir: root,
  entryPoints: ['main', 'worker'].map((name) => join(compiled, 'pipeline', `${name}.js`)),
  outbase: compiled,
  outdir: dist,
  chunkNames: 'parts/[name]-[hash]',
  bundle: true,
  splitting: true,
  platform: 'node',
  format: 'esm',
  target: 'node20.19',
  external: APART,
  alias: { 'proxy-agent': './build/pipeline/no-proxies.js' },
  banner: { js: REQUIRE },
  legalComments: 'none',
  sourcemap: true,
  sourcesContent: false,
  metafile: true,
  logLevel: 'warning',
});
const words = readdirSync(resource('words')).map((file) => `words/${file}`);
for (const name of ['materials.yaml', ...words]) await writeShippedJson(name);
writeFileSync(join(dist, BUILD_ID_FILE), `${JSON.stringify(fingerprintBuild(compiled, resource()), null, 2)}\n`);
writeFileSync(join(dist, 'LICENCES-OF-PARTS.txt'), licences(Object.keys(metafile.inputs)));

/** The licence texts of the packages that these files come from, as each package brings them; one that several bring stands once. */
function licences(files: readonly string[]): string {
  const folders = files.flatMap((file) => /^.*node_modules\/(?:@[^/]+\/)?[^/]+/.exec(file)?.[0] ?? []);
  const packagesOf = new Map<string, string[]>();
  for (const folder of [...new Set(folders)].sort()) {
    const about = JSON.parse(readFileSync(join(root, folder, 'package.json'), 'utf8')) as Record<string, string>;
    const text = licenceTexts(join(root, folder)).join('\n\n') || 'The package brings no text of its licence.';
    packagesOf.set(text, [...(packagesOf.get(text) ?? []), `${about.name} ${about.version} (${about.license})`]);
  }
  return [...packagesOf]
    .map(([text, packages]) => `${packages.join('\n')}\n\n${text}\n`)
    .join(`\n${'-'.repeat(80)}\n\n`);
}

function licenceTexts(folder: string): string[] {
  return readdirSync(folder)
    .filter((name) => /^(licen[cs]e|notice|copying)/i.test(name))
    .sort()
    .map((name) => readFileSync(join(folder, name), 'utf8').trim());
}
