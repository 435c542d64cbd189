import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { earlierReport } from '../../pipeline/earlier-report.ts';
import { linkedOwnFolders } from '../../pipeline/own-folders.ts';
import { shrinkPhoto } from '../../pipeline/photos.ts';
import { readProject } from '../../pipeline/read.ts';
import { readRegular } from '../../pipeline/read-regular.ts';
import { readSweep } from '../../pipeline/sweep-file.ts';
import { drawFrom } from '../hostile/draw.ts';
import { hostileFolder } from '../hostile/folders.ts';

const folder = mkdtempSync(join(tmpdir(), 'decaybook-regular-'));
afterAll(() => rmSync(folder, { recursive: true }));

const codeOf = (reading: Promise<unknown>) =>
  reading.then(
    () => 'read',
    ({ code }: NodeJS.ErrnoException) => code,
  );

describe.skipIf(process.platform === 'win32')('what comes with a project and is no plain file', () => {
  it('is neither waited for nor read: pipe, device, folder, link, or too much', async () => {
    const at = (name: string) => join(folder, name);
    execFileSync('mkfifo', [at('pipe')]);
    mkdirSync(at('folder'));
    writeFileSync(at('file'), 'four');
    symlinkSync('file', at('link'));
    symlinkSync('/dev/zero', at('device'));
    const codes = ['pipe', 'folder', 'link', 'device', 'nothing'].map((name) =>
      codeOf(readRegular(at(name), { most_bytes: 4 })),
    );
    expect(await Promise.all(codes)).toEqual(['EFTYPE', 'EFTYPE', 'ELOOP', 'ELOOP', 'ENOENT']);
    expect(await codeOf(readRegular(at('device'), { most_bytes: 4, links: true }))).toBe('EFTYPE');
    expect(await codeOf(readRegular(at('file'), { most_bytes: 3 }))).toBe('EFBIG');
    expect((await readRegular(at('link'), { most_bytes: 4, links: true })).toString()).toBe('four');
  });

  it('is told as such of sweep.json, and the issues of a report are not taken for lost', async () => {
    const { project } = hostileFolder(join(folder, 'pipes'), ['pipe for a sweep'], drawFrom('pipes'));
    execFileSync('mkdir', ['-p', join(project, 'report')]);
    execFileSync('mkfifo', [join(project, 'report', 'issues.json'), join(project, 'report', 'results.json')]);
    const sweep = await readSweep(project);
    expect('fault' in sweep && sweep.fault.message).toMatch(/it is no file.*put back/);
    expect((await earlierReport(project)).diagnostics.map(({ file, severity }) => [file, severity])).toEqual([
      ['report/issues.json', 'error'],
    ]);
  });

  it('is left alone where it stands in the place of the report or of what is kept', async () => {
    for (const twist of [
      'report is a file',
      'kept results are a file',
      'report is a link',
      'kept results are a link',
    ]) {
      const { project } = hostileFolder(join(folder, twist.replaceAll(' ', '-')), [twist], drawFrom(twist));
      const [fault] = await linkedOwnFolders(project);
      expect(fault?.message).toMatch(/remove the link|move it away/);
      expect((await readProject(project)).project).toBeNull();
    }
  });

  it('gives a file too long to be read no fingerprint, and takes no time for it', async () => {
    const { project } = hostileFolder(join(folder, 'long'), [], drawFrom('long'));
    execFileSync('truncate', ['-s', '40G', join(project, 'recordings/bare/A/02.wav')]);
    const { takes } = await readProject(project);
    expect(takes.map(({ sha256 }) => sha256 === null)).toEqual([false, true, false]);
  });
});

it('a small picture that unfolds to more pixels than memory holds is refused by its header', async () => {
  const { project } = hostileFolder(join(folder, 'bomb'), ['picture that unfolds'], drawFrom('bomb'));
  await expect(shrinkPhoto(project, 'photos/bare/bomb.png')).rejects.toThrow('no such photo');
});
