import { createHash } from 'node:crypto';
import { chmod, mkdir, mkdtemp, realpath, rm, symlink, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join, relative } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { $ } from 'zx';
import { readProject } from '../../pipeline/read.ts';
import { readSweep } from '../../pipeline/sweep-file.ts';
import { formatDiagnostic } from '../../src/project/diagnostic.ts';

const TEXT =
  'decaybook: 1\ntitle: Room\ndate: 2026-05-12\nroom: {length: 5, width: 4, height: 3}\nstages:\n  - id: bare\n';
/** Windows lets only some users make links, and knows no modes. */
const WINDOWS = process.platform === 'win32';
const ROOT = process.getuid?.() === 0;

let folder = '';
beforeEach(async () => {
  folder = await realpath(await mkdtemp(join(tmpdir(), 'decaybook-read-')));
});
afterEach(async () => {
  await rm(folder, { recursive: true, force: true });
});

async function put(path: string, content: string | Uint8Array): Promise<void> {
  await mkdir(join(folder, path, '..'), { recursive: true });
  await writeFile(join(folder, path), content);
}

async function shown(): Promise<string[]> {
  return (await readProject(folder)).diagnostics.map(formatDiagnostic);
}

describe('readProject', () => {
  test('returns project and takes, each with the SHA-256 of its bytes', async () => {
    await put('project.yaml', TEXT);
    await put('recordings/bare/A/1.wav', 'abc');
    const read = await readProject(folder);
    expect(read.diagnostics).toEqual([]);
    expect(read.project?.title).toBe('Room');
    expect(read.folder).toBe(folder);
    // FIPS 180-4, the published example "abc".
    const sha256 = 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad';
    expect(createHash('sha256').update('abc').digest('hex')).toBe(sha256);
    expect(read.takes).toEqual([
      { file: 'recordings/bare/A/1.wav', stage: 'bare', position: 'A', kind: null, channel: null, sha256 },
    ]);
  });

  test('passes over report, kept results and hidden files', async () => {
    await put('project.yaml', `${TEXT}    takes: [{files: '**/*.wav'}]\n`);
    for (const path of ['report/listen/1.wav', '.decaybook/1.wav', 'node_modules/x/1.wav', '.hidden/1.wav', 'a.wav']) {
      await put(path, path);
    }
    expect((await readProject(folder)).takes.map(({ file }) => file)).toEqual(['a.wav']);
  });

  test('names a material that no table holds, and takes rows of the project’s own', async () => {
    const room = 'room: {length: 5, width: 4, height: 3, surfaces: [{name: walls, area: 54, material: felted-board}]}';
    await put('project.yaml', TEXT.replace(/room:.*/, room));
    await put('recordings/bare/A/1.wav', 'abc');
    expect(await shown()).toEqual([
      'project.yaml:4:85: warning: felted-board is in no table of materials, so the bare room is not predicted from its surfaces: use the id of a row, or add a row of your own in materials.yaml beside the project file',
    ]);
    await put(
      'materials.yaml',
      'materials:\n  - {id: felted-board, name: felted board, use: lining, absorption: {500: 0.4}, source: leaflet}\n',
    );
    const read = await readProject(folder);
    expect(read.diagnostics).toEqual([]);
    expect(read.materials[0]).toMatchObject({ id: 'felted-board', absorption: { 500: 0.4 } });
    expect(read.materials.some(({ id }) => id === 'gypsum-on-studs')).toBe(true);
  });

  test('of two rows with one id takes the project’s, and stops at one that cannot be used', async () => {
    await put('project.yaml', TEXT);
    await put('recordings/bare/A/1.wav', 'abc');
    await put(
      'materials.csv',
      'id,name,use,500,source\ngypsum-on-studs,ours,lining,0.07,measured here\nbad,bad,lining,9,x\n',
    );
    const read = await readProject(folder);
    expect(read.materials.filter(({ id }) => id === 'gypsum-on-studs')).toEqual([
      expect.objectContaining({ name: 'ours', absorption: { 500: 0.07 } }),
    ]);
    expect(read.diagnostics.map(formatDiagnostic)).toEqual([
      'materials.csv:3:1: error: the material bad cannot be used, as "absorption 500" is missing or out of range: a row needs id (small letters, digits and dashes), name, use (lining, absorber or piece), absorption from 0 to 1.3 by octave, and source',
    ]);
  });

  test('says that there is no project file, or that it has another name', async () => {
    expect(await shown()).toEqual([
      'project.yaml: error: there is no project.yaml in this folder: make one with "decaybook new"',
    ]);
    await put('project.yml', TEXT);
    expect(await shown()).toEqual([
      'project.yaml: error: the project file is called project.yml here: rename it to project.yaml',
    ]);
  });

  test('refuses a project file that is not text in UTF-8', async () => {
    await put('project.yaml', Uint8Array.of(0xff, 0xfe, 0x74, 0x00));
    expect(await shown()).toEqual(['project.yaml: error: the file is not text in UTF-8: save it again as UTF-8']);
  });

  test('refuses a project file of absurd size unread', async () => {
    await put('project.yaml', Buffer.alloc(4_000_001, '#'));
    expect((await shown())[0]).toMatch(/^project\.yaml: error: the file is longer than 4000000 characters/);
  });

  test('warns of a logo that is not there', async () => {
    await put('project.yaml', `${TEXT}branding: {logo: logo.svg}\n`);
    await put('recordings/bare/A/1.wav', '');
    const line =
      'project.yaml:7:18: warning: logo.svg is not in the project folder, so the report has no logo: put it there, or correct the name';
    expect(await shown()).toEqual([line]);
    await put('logo.svg', '<svg/>');
    expect(await shown()).toEqual([]);
  });

  test('rejects where the folder itself is not there', async () => {
    await expect(readProject(join(folder, 'nowhere'))).rejects.toThrow('ENOENT');
  });
});

describe.skipIf(WINDOWS)('readProject with links', () => {
  const NOT_FOLLOWED =
    'warning: this is a link out of the project folder, to a folder or to nothing, and is not followed: copy in what it points to, or name its folder with --allow';

  test('follows a link to a file in the project, and none that leads out, in a circle or nowhere', async () => {
    const outside = await mkdtemp(join(tmpdir(), 'decaybook-outside-'));
    await writeFile(join(outside, 'secret.wav'), 'secret');
    await put('project.yaml', TEXT);
    await put('takes/1.wav', 'abc');
    await mkdir(join(folder, 'recordings/bare/A'), { recursive: true });
    await symlink('../../../takes/1.wav', join(folder, 'recordings/bare/A/1.wav'));
    await symlink(join(outside, 'secret.wav'), join(folder, 'recordings/bare/A/2.wav'));
    await symlink('.', join(folder, 'recordings/bare/A/circle'));
    await symlink('nothing.wav', join(folder, 'recordings/bare/A/none.wav'));
    await symlink(outside, join(folder, 'recordings/bare/B'));
    const { takes, diagnostics } = await readProject(folder);
    expect(takes.map(({ file }) => file)).toEqual(['recordings/bare/A/1.wav']);
    expect(diagnostics.map(formatDiagnostic)).toEqual(
      ['A/2.wav', 'A/circle', 'A/none.wav', 'B'].map((name) => `recordings/bare/${name}: ${NOT_FOLLOWED}`),
    );
    await rm(outside, { recursive: true });
  });

  test('follows links into a folder that is allowed, those to folders once each, and no others', async () => {
    const [allowed, other] = await Promise.all(
      ['a', 'b'].map(async (name) => realpath(await mkdtemp(join(tmpdir(), `decaybook-outside-${name}-`)))),
    );
    for (const outside of [allowed!, other!]) await writeFile(join(outside, '1.wav'), outside);
    await symlink('.', join(allowed!, 'circle'));
    await put('project.yaml', TEXT);
    await mkdir(join(folder, 'recordings/bare/A'), { recursive: true });
    await symlink(allowed!, join(folder, 'recordings/bare/B'));
    await symlink(join(allowed!, '1.wav'), join(folder, 'recordings/bare/A/1.wav'));
    await symlink(join(other!, '1.wav'), join(folder, 'recordings/bare/A/2.wav'));
    const { takes, diagnostics } = await readProject(folder, { allow: [allowed!] });
    expect(takes.map(({ file }) => file)).toEqual(['recordings/bare/A/1.wav', 'recordings/bare/B/1.wav']);
    expect(diagnostics.map(formatDiagnostic)).toEqual(
      ['A/2.wav', 'B/circle'].map((name) => `recordings/bare/${name}: ${NOT_FOLLOWED}`),
    );
    for (const outside of [allowed!, other!]) await rm(outside, { recursive: true });
  });

  test('reads files elsewhere that the project file names where their folder is allowed, and refuses them elsewhere', async () => {
    const outside = await realpath(await mkdtemp(join(tmpdir(), 'decaybook-outside-')));
    for (const name of ['1.wav', '2.wav', 'logo.svg']) await writeFile(join(outside, name), name);
    const way = relative(await realpath(folder), outside);
    const names = [`${way}/*.wav`, `${way}/logo.svg`, `${dirname(way)}/elsewhere.wav`, join(outside, '1.wav')];
    const text = (file: string, logo = '') => `${TEXT}    takes: [{files: "${file}", position: A}]\n${logo}`;
    await put('project.yaml', text(names[0]!, `branding: {logo: "${names[1]}"}\n`));
    const read = await readProject(folder, { allow: [outside] });
    expect(read.diagnostics).toEqual([]);
    expect(read.takes.map(({ file, sha256 }) => [file, sha256])).toEqual(
      ['1.wav', '2.wav'].map((name) => [`${way}/${name}`, createHash('sha256').update(name).digest('hex')]),
    );
    expect(read.logo).toBe(`${way}/logo.svg`);

    const mend = 'copy it in and name it from there, or name its folder with --allow';
    const refused = (name: string) => `error: ${name} lies outside the project folder: ${mend}`;
    const told = async (allow: string[]) => {
      const { takes, logo, diagnostics } = await readProject(folder, { allow });
      expect([takes, logo]).toEqual([[], null]);
      return diagnostics.map(({ severity, message }) => `${severity}: ${message}`);
    };
    expect(await told([])).toEqual([refused(names[0]!), refused(names[1]!)]);
    await put('project.yaml', text(names[2]!));
    expect(await told([outside])).toContain(refused(names[2]!));
    await put('project.yaml', text(names[3]!));
    expect(await told([outside])).toEqual([
      `error: ${names[3]} is named from the top of the disk: name it from the project folder`,
    ]);
    await rm(outside, { recursive: true });
  });

  test('reads no logo, sweep description or table of materials through a link', async () => {
    const outside = await mkdtemp(join(tmpdir(), 'decaybook-outside-'));
    await put('project.yaml', `${TEXT}branding: {logo: logo.svg}\n`);
    for (const name of ['logo.svg', 'sweep.json', 'materials.yaml']) {
      await writeFile(join(outside, name), 'secret');
      await symlink(join(outside, name), join(folder, name));
    }
    const { logo, diagnostics } = await readProject(folder);
    expect(logo).toBe(null);
    const lines = diagnostics.map(formatDiagnostic);
    expect(lines).toContain(
      'materials.yaml: error: this is a link, and links are not followed here: put the file itself here',
    );
    expect(lines.filter((line) => line.startsWith('project.yaml:'))).toEqual([
      expect.stringContaining('warning: logo.svg is not in the project folder, so the report has no logo'),
    ]);
    expect(await readSweep(folder)).toMatchObject({
      fault: { file: 'sweep.json', message: expect.stringMatching(/^is a link/) },
    });
    await rm(outside, { recursive: true });
  });

  test('reads nothing of a project whose folder for the report, or for what is kept, leads elsewhere', async () => {
    const outside = await mkdtemp(join(tmpdir(), 'decaybook-outside-'));
    await put('project.yaml', TEXT);
    await put('recordings/bare/A/1.wav', 'abc');
    await symlink(outside, join(folder, 'report'));
    await mkdir(join(folder, '.decaybook', 'kept'), { recursive: true });
    await symlink(outside, join(folder, '.decaybook', 'kept', 'content-v2'));
    const mend = 'error: this is a link, and the tool writes only into folders of the project itself: remove the link';
    expect(await shown()).toEqual([`report: ${mend}`, `.decaybook/kept/content-v2: ${mend}`]);
    expect((await readProject(folder)).project).toBe(null);
    await rm(outside, { recursive: true });
  });

  test('does not read a project file that is a link', async () => {
    await put('other.yaml', TEXT);
    await symlink('other.yaml', join(folder, 'project.yaml'));
    expect(await shown()).toEqual([
      'project.yaml: error: the project file is a link, and links are not followed: put the file itself here',
    ]);
  });

  test('a folder or a pipe in its place is named as that, and not waited for', async () => {
    for (const make of ['mkdir', 'mkfifo']) {
      await $`${make} ${join(folder, 'project.yaml')}`;
      expect(await shown()).toEqual([
        'project.yaml: error: there is something of this name that is no file: move it away, and put the project file here or make one with "decaybook new"',
      ]);
      await rm(join(folder, 'project.yaml'), { recursive: true });
    }
  });
});

describe.skipIf(WINDOWS || ROOT)('readProject without leave to read', () => {
  test('says so of the project file and of a folder, and gives a recording no fingerprint', async () => {
    await put('project.yaml', TEXT);
    await put('recordings/bare/A/1.wav', 'abc');
    await put('recordings/bare/B/1.wav', 'abc');
    await chmod(join(folder, 'recordings/bare/A/1.wav'), 0);
    await chmod(join(folder, 'recordings/bare/B'), 0);
    const read = await readProject(folder);
    expect(read.takes.map(({ sha256 }) => sha256)).toEqual([null]);
    expect(read.diagnostics.map(formatDiagnostic)).toEqual([
      'recordings/bare/B: error: the folder cannot be read (permission denied): give yourself leave to read it',
    ]);
    await chmod(join(folder, 'recordings/bare/B'), 0o700);
    await chmod(join(folder, 'project.yaml'), 0);
    expect(await shown()).toEqual([
      'project.yaml: error: the project file cannot be read (permission denied): give yourself leave to read it',
    ]);
  });
});
