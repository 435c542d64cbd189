import { cpSync, existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, symlinkSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { $ } from 'zx';
import { packageFolder } from '../../pipeline/resources.ts';
import { synthesiseRecordings } from '../../projects/synthesise.ts';

const scratch = mkdtempSync(join(tmpdir(), 'decaybook-package-'));
const modules = join(scratch, 'node_modules');
const command = join(modules, 'decaybook', 'dist', 'pipeline', 'main.js');
const shell = $({ cwd: scratch, nothrow: true, quiet: true });

/** The packages that an installed decaybook has about it: those it depends on, and no tools of its developers. */
function productionPackages(): string[] {
  const lock = JSON.parse(readFileSync(join(packageFolder(), 'package-lock.json'), 'utf8')) as {
    packages: Record<string, { dev?: boolean }>;
  };
  return Object.entries(lock.packages)
    .filter(([path, { dev }]) => /^node_modules\/(@[^/]+\/)?[^/]+$/.test(path) && dev !== true)
    .map(([path]) => path.slice('node_modules/'.length))
    .filter((name) => existsSync(join(packageFolder(), 'node_modules', name)));
}

beforeAll(async () => {
  mkdirSync(modules);
  await $({ cwd: packageFolder(), quiet: true })`npm pack --ignore-scripts --silent --pack-destination ${scratch}`;
  const packed = readdirSync(scratch).find((name) => name.endsWith('.tgz'))!;
  await $({ cwd: scratch, quiet: true })`tar -xzf ${packed}`;
  cpSync(join(scratch, 'package'), join(modules, 'decaybook'), { recursive: true });
  for (const name of productionPackages()) {
    mkdirSync(dirname(join(modules, name)), { recursive: true });
    symlinkSync(join(packageFolder(), 'node_modules', name), join(modules, name), 'junction');
  }
}, 60_000);

afterAll(() => rmSync(scratch, { recursive: true, force: true }));

describe('the packed package', () => {
  it('holds neither the proxies of downloads that it never makes nor the languages of messages that it never shows', () => {
    const joined = readFileSync(join(packageFolder(), 'build', 'joined-files.txt'), 'utf8')
      .trim()
      .split('\n');
    expect(joined).toContain('node_modules/zod/v4/locales/en.js');
    expect(joined.filter((file) => /zod\/.*locales\/(?!en\.js)/.test(file))).toEqual([]);
    expect(joined.some((file) => file.startsWith('node_modules/@puppeteer/browsers/'))).toBe(true);
    expect(joined.filter((file) => /proxy-agent|pac-resolver|quickjs|basic-ftp/.test(file))).toEqual([]);
  });

  it('holds the program whole, without what one version of one engine made of it', () => {
    const here = readdirSync(join(packageFolder(), 'dist', 'parts'));
    expect(here.filter((name) => /\.(main|worker)$/.test(name)).length).toBeGreaterThan(20);
    expect(readdirSync(join(modules, 'decaybook', 'dist', 'parts')).sort()).toEqual(
      here.filter((name) => name.endsWith('.cjs')).sort(),
    );
  });

  it('makes a new project, with its sheet and the schema that editors complete from', async () => {
    const { exitCode, stderr } = await shell`node ${command} new my-room`;
    expect([exitCode, stderr]).toEqual([0, '']);
    expect(readdirSync(join(scratch, 'my-room'))).toEqual(expect.arrayContaining(['project.yaml', 'recordings']));
    const schema = /\$schema=(\S+)/.exec(readFileSync(join(scratch, 'my-room', 'project.yaml'), 'utf8'))![1]!;
    expect(existsSync(join(scratch, 'my-room', schema))).toBe(true);
  });

  it('checks and reports, finding templates and fonts', async () => {
    cpSync(
      join(packageFolder(), 'projects', 'bedroom-vocals', 'project.yaml'),
      join(scratch, 'bedroom-vocals', 'project.yaml'),
    );
    await synthesiseRecordings(scratch, ['bedroom-vocals']);
    expect((await shell`node ${command} check bedroom-vocals`).exitCode).toBe(0);
    const { exitCode, stdout } = await shell`node ${command} report --no-pdf bedroom-vocals`;
    expect(exitCode).toBe(0);
    expect(stdout).toContain('reduced');
    const html = readFileSync(join(scratch, 'bedroom-vocals', 'report', 'report.html'), 'utf8');
    expect(html).toContain('@font-face');
    expect(html).toContain('Spare bedroom for vocals');
  }, 60_000);
});
