import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { newProject } from '../../pipeline/new.ts';
import { readProject } from '../../pipeline/read.ts';
import { formatDiagnostic } from '../../src/project/diagnostic.ts';
import { parseProject } from '../../src/project/parse-project.ts';

const TOLD = { title: null, purpose: null, room: null, date: '2026-05-12' };
const ROOM = { length: 5.2, width: 3.6, height: 2.6 };

let parent = '';
beforeEach(async () => {
  parent = await mkdtemp(join(tmpdir(), 'decaybook-new-'));
});
afterEach(async () => {
  await rm(parent, { recursive: true, force: true });
});

/** Everything in a folder, with forward slashes, folders marked by one at the end. */
async function tree(folder: string): Promise<string[]> {
  const entries = await readdir(folder, { recursive: true, withFileTypes: true });
  return entries
    .map(
      (entry) =>
        join(entry.parentPath, entry.name)
          .slice(folder.length + 1)
          .replaceAll('\\', '/') + (entry.isDirectory() ? '/' : ''),
    )
    .sort();
}

describe('newProject', () => {
  test('makes the project file, the folders, the schema and the sheet, and nothing else', async () => {
    const folder = join(parent, 'deep', 'practice-room');
    await newProject(folder, TOLD);
    expect(await tree(folder)).toEqual([
      '.decaybook/',
      '.decaybook/project.schema.json',
      'photos/',
      'project.yaml',
      'recording-sheet.html',
      'recordings/',
      'recordings/bare/',
      'recordings/bare/A/',
      'recordings/bare/B/',
      'recordings/treated/',
      'recordings/treated/A/',
      'recordings/treated/B/',
    ]);
  });

  test('names the room after its folder unless told otherwise, and fills in what it is told', async () => {
    expect(await newProject(join(parent, 'practice-room'), TOLD)).toMatchObject({ title: 'Practice room', room: {} });
    const told = { ...TOLD, title: 'Room "7": north # side', purpose: 'meeting' as const, room: ROOM };
    const project = await newProject(join(parent, 'other'), told);
    expect(project).toMatchObject({ title: told.title, purpose: 'meeting', room: ROOM, date: '2026-05-12' });
    expect(Object.keys(project.positions)).toEqual([...'ABCDEF']);
  });

  test('writes a file in which, once the comment signs before its examples are gone, all still parses', async () => {
    await newProject(join(parent, 'room'), { ...TOLD, room: ROOM });
    const text = await readFile(join(parent, 'room', 'project.yaml'), 'utf8');
    const filledIn = text
      .replace(/^( *)# ?((reference|client|prepared_by|currency|options|compare|branding|treatments):)/gm, '$1$2')
      .replace(/^( *)#( +)(- name|area|thickness|air_gap|cost|absorption)/gm, '$1 $2$3')
      .replace(/^#( {3}- \{)/gm, '$1 ')
      .replace(/# such as (\{)/g, '$1');
    const { project, diagnostics } = parseProject(filledIn, 'project.yaml');
    expect(diagnostics.map(formatDiagnostic)).toEqual([]);
    expect(project?.options).toHaveLength(1);
    expect(project?.stages[1]?.treatments[0]).toMatchObject({ area: 6.4, cost: 210, absorption: { 1000: 0.7 } });
    expect(project?.positions.A?.microphone).toEqual([2.1, 1.2, 1.4]);
    expect(project?.compare).toEqual([['bare', 'treated']]);
  });

  test('points editors at a schema that is there', async () => {
    await newProject(join(parent, 'room'), TOLD);
    const text = await readFile(join(parent, 'room', 'project.yaml'), 'utf8');
    const schema = /^# yaml-language-server: \$schema=(.*)$/m.exec(text)![1]!;
    expect(JSON.parse(await readFile(join(parent, 'room', schema), 'utf8'))).toHaveProperty('properties.stages');
  });

  test('leaves a project that is there alone', async () => {
    await writeFile(join(parent, 'project.yaml'), 'mine');
    await expect(newProject(parent, TOLD)).rejects.toThrow('EEXIST');
    expect(await readFile(join(parent, 'project.yaml'), 'utf8')).toBe('mine');
    expect(await readdir(parent)).toEqual(['project.yaml']);
  });

  test('gives a project that reads without error, and without a word once the recordings are in', async () => {
    const folder = join(parent, 'room');
    await newProject(folder, { ...TOLD, room: ROOM });
    expect((await readProject(folder)).diagnostics.map(formatDiagnostic)).toEqual([
      'recordings: note: no recordings yet: put those of the first stage into recordings/bare/A/',
    ]);
    for (const stage of ['bare', 'treated']) await writeFile(join(folder, 'recordings', stage, 'A', '1.wav'), stage);
    expect((await readProject(folder)).diagnostics).toEqual([]);
  });
});

describe('the recording sheet', () => {
  const sheetOf = async (told: Parameters<typeof newProject>[1]): Promise<string> => {
    await newProject(join(parent, 'room'), told);
    return readFile(join(parent, 'room', 'recording-sheet.html'), 'utf8');
  };

  test('is one page that fetches nothing and runs nothing', async () => {
    const html = await sheetOf({ ...TOLD, room: ROOM });
    expect(html).not.toMatch(/<script|<link|https?:\/\/(?!www\.w3\.org\/2000\/svg)|url\((?!data:)/);
    expect(html).toContain("default-src 'none'");
  });

  test('gives the distances of this room, in metres: 48.7 m3 at 20 degrees asks for 1.4 m from the source', async () => {
    const text = (await sheetOf({ ...TOLD, room: ROOM })).replace(/<[^>]*>/g, ' ').replace(/\s+/g, ' ');
    expect(text).toContain('Between source and microphone 1.4 m or more');
    expect(text).toContain('125 Hz 0.69 and 1.37 m');
    expect(text).toContain('indicative, not certified');
  });

  test('says in a room too small for them to go as near as it allows', async () => {
    const html = await sheetOf({ ...TOLD, room: { length: 2.4, width: 2, height: 2.3 } });
    expect(html).toContain('This room is too small to keep all of these');
  });

  test('shows what a stranger wrote as text', async () => {
    const html = await sheetOf({ ...TOLD, title: '<img src=x onerror=alert(1)>' });
    expect(html).not.toContain('<img');
    expect(html).toContain('&lt;img');
  });
});
