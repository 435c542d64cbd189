import { chmodSync, copyFileSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { build } from 'esbuild';
import { BUILD_ID_FILE, fingerprintBuild } from './code-id.ts';
import { partTexts, TARGET } from './part-text.ts';
import { packageFolder, resource } from './resources.ts';
import { writeShippedJson } from './shipped-yaml.ts';

// The second step of the build: what was compiled into build/ becomes dist/, the command line and its worker thread with most packages in a few
// parts, since finding and opening hundreds of files took longer than reading them. What is loaded late stays a part of its own.

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
/** Where the files that went into the parts are listed, in build/. */
const JOINED_FILES = 'joined-files.txt';
/** The parts that files in dist/pipeline/ open: the command line, and the jobs of worker threads. */
const ENTRIES = ['main', 'worker'];

const MAIN = `#!/usr/bin/env node
import { openPart } from './code-parts.js';
import { setForShortRun } from './short-run.js';
setForShortRun();
openPart(new URL('../parts/main.cjs', import.meta.url).href);
`;
const WORKER = (jobs: readonly string[]) => `import { openPart } from './code-parts.js';
export const { ${jobs.join(', ')} } = openPart(new URL('../parts/worker.cjs', import.meta.url).href);
`;

const root = packageFolder();
const [compiled, dist] = [join(root, 'build'), join(root, 'dist')];

rmSync(dist, { recursive: true, force: true });
const { metafile, outputFiles } = await build({
  absWorkingDir: root,
  entryPoints: ENTRIES.map((name) => join(compiled, 'pipeline', `${name}.js`)),
  outdir: join(dist, 'parts'),
  entryNames: '[name]',
  chunkNames: '[name]-[hash]',
  bundle: true,
  splitting: true,
  platform: 'node',
  format: 'esm',
  target: TARGET,
  external: APART,
  alias: {
    'proxy-agent': './build/pipeline/no-proxies.js',
    // The one for Node waits for a package that draws pixels, which is not there.
    'vega-canvas': './node_modules/vega-canvas/build/vega-canvas.browser.js',
  },
  legalComments: 'none',
  metafile: true,
  write: false,
  logLevel: 'warning',
});
mkdirSync(join(dist, 'parts'), { recursive: true });
mkdirSync(join(dist, 'pipeline'));
const modules = outputFiles.map(({ path, text }) => ({ name: basename(path), text }));
for (const { file, text } of await partTexts(modules)) writeFileSync(join(dist, 'parts', file), text, 'latin1');
for (const name of ['code-parts.js', 'short-run.js'])
  copyFileSync(join(compiled, 'pipeline', name), join(dist, 'pipeline', name));
writeEntries(join(dist, 'pipeline'));
const words = readdirSync(resource('words')).map((file) => `words/${file}`);
for (const name of ['materials.yaml', ...words]) await writeShippedJson(name);
writeFileSync(join(dist, BUILD_ID_FILE), `${JSON.stringify(fingerprintBuild(compiled, resource()), null, 2)}\n`);
const joined = Object.values(metafile.outputs).flatMap(({ inputs }) =>
  Object.entries(inputs).flatMap(([file, { bytesInOutput }]) => (bytesInOutput > 0 ? [file] : [])),
);
writeFileSync(join(compiled, JOINED_FILES), `${joined.join('\n')}\n`);
writeFileSync(join(dist, 'LICENCES-OF-PARTS.txt'), licences(Object.keys(metafile.inputs)));

/** The files that may be run: each opens a part, and a worker's gives the jobs of its part as a module does. */
function writeEntries(folder: string): void {
  const jobs = metafile.outputs['dist/parts/worker.js']!.exports.sort();
  writeFileSync(join(folder, 'main.js'), MAIN);
  chmodSync(join(folder, 'main.js'), 0o755);
  writeFileSync(join(folder, 'worker.js'), WORKER(jobs));
}

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
