import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { expandFolders } from '../../pipeline/expand-folders.ts';
import { report } from '../../pipeline/report-command.ts';
import { writeSmallProject } from './small-project.ts';

const scratch = mkdtempSync(join(tmpdir(), 'decaybook-many-'));
const at = (name: string) => join(scratch, name);

beforeAll(() => {
  writeSmallProject(at('jobs/a'));
  cpSync(at('jobs/a'), at('jobs/c'), { recursive: true });
  mkdirSync(at('jobs/b'));
  writeFileSync(at('jobs/b/project.yaml'), 'decaybook: 1\n');
  mkdirSync(at('jobs/notes'));
  mkdirSync(at('jobs/2026'));
  cpSync(at('jobs/b'), at('jobs/2026/d'), { recursive: true });
});
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

describe('expandFolders(named)', () => {
  it('takes a folder as it is, and a pattern for the projects it fits, each once and in order', async () => {
    const named = [at('jobs/c'), at('jobs/*')];
    expect(await expandFolders(named)).toEqual({
      folders: ['c', 'a', 'b'].map((name) => at(`jobs/${name}`)),
      unmatched: [],
    });
  });

  it('looks into folders for **, and takes alternatives in braces', async () => {
    expect((await expandFolders([at('jobs/**')])).folders).toEqual(
      ['2026/d', 'a', 'b', 'c'].map((name) => at(`jobs/${name}`)),
    );
    expect((await expandFolders([at('jobs/{a,c}')])).folders).toEqual([at('jobs/a'), at('jobs/c')]);
  });

  it('names a pattern that no project fits', async () => {
    expect((await expandFolders([at('jobs/z*')])).unmatched).toEqual([at('jobs/z*')]);
  });
});

/** What the command printed on standard output, and its exit status. */
async function printed(folders: string[], json: boolean): Promise<{ text: string; status: number }> {
  let text = '';
  const out = vi.spyOn(process.stdout, 'write').mockImplementation((chunk) => {
    text += String(chunk);
    return true;
  });
  try {
    const status = await report(folders, { json, pdf: false });
    return { text: text.replaceAll(scratch, ''), status };
  } finally {
    out.mockRestore();
  }
}

describe('report(folders, options)', () => {
  const folders = ['a', 'b', 'c'].map((name) => at(`jobs/${name}`));

  it('reports the good projects though one fails, and says so in a table with the exit status of each', async () => {
    const { text, status } = await printed(folders, false);
    expect(status).toBe(1);
    expect(text).toContain('/jobs/b');
    expect(text.split('\n').slice(-6)).toEqual(
      [
        '3 projects, 1 failed',
        '  project  report  takes used  status',
        '  /jobs/a  made        2 of 2       0',
        '  /jobs/b  failed                   1',
        '  /jobs/c  made        2 of 2       0',
        '',
      ].map((line) => expect.stringMatching(new RegExp(`^${line.replace(/ +/g, ' +')}$`))),
    );
  });

  it('gives one JSON object for all, in the order of the folders', async () => {
    const { text, status } = await printed(folders, true);
    expect(status).toBe(1);
    const { projects } = JSON.parse(text) as { projects: { folder: string; status: number; results: unknown }[] };
    expect(projects.map(({ folder, status }) => [folder, status])).toEqual([
      ['/jobs/a', 0],
      ['/jobs/b', 1],
      ['/jobs/c', 0],
    ]);
    expect(projects.map(({ results }) => results !== null)).toEqual([true, false, true]);
  });

  it('writes tables that can be joined: the same columns, and the project in each row', () => {
    const [one, other] = [at('jobs/a'), at('jobs/c')].map((folder) =>
      readFileSync(join(folder, 'report', 'results.csv'), 'utf8')
        .trim()
        .split('\n'),
    ) as [string[], string[]];
    expect(one[0]).toBe(other[0]);
    expect(one[0]!.startsWith('project,')).toBe(true);
    expect(one.slice(1).every((row) => row.startsWith('Small room,'))).toBe(true);
  });
});
