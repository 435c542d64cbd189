import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { restoreInterrupted, swapIn } from '../../pipeline/swap.ts';

let project: string;
const report = () => readFileSync(join(project, 'report', 'text'), 'utf8');
const write = (text: string) => (folder: string) => {
  writeFileSync(join(folder, 'text'), text);
  return Promise.resolve();
};

beforeEach(() => {
  project = mkdtempSync(join(tmpdir(), 'decaybook-swap-'));
});
afterEach(() => rmSync(project, { recursive: true, force: true }));

describe('swapIn', () => {
  it('replaces the earlier folder whole', async () => {
    await swapIn(project, 'report', write('first'));
    writeFileSync(join(project, 'report', 'stray'), '');
    await swapIn(project, 'report', write('second'));
    expect(report()).toBe('second');
    expect(readdirSync(join(project, 'report'))).toEqual(['text']);
    expect(readdirSync(join(project, '.decaybook'))).toEqual([]);
  });

  it('leaves the earlier folder as it was when the new one cannot be filled', async () => {
    await swapIn(project, 'report', write('first'));
    const failing = swapIn(project, 'report', async (folder) => {
      writeFileSync(join(folder, 'text'), 'half');
      throw new Error('disk full');
    });
    await expect(failing).rejects.toThrow('disk full');
    expect(report()).toBe('first');
    expect(readdirSync(join(project, '.decaybook'))).toEqual([]);
  });

  it('lets two runs at once each swap in a whole folder', async () => {
    await Promise.all(['a', 'b', 'c'].map((text) => swapIn(project, 'report', write(text))));
    expect(['a', 'b', 'c']).toContain(report());
  });
});

describe('restoreInterrupted', () => {
  it('puts back what was moved away by a run that was ended between its two renames', async () => {
    await swapIn(project, 'report', write('first'));
    renameSync(join(project, 'report'), join(project, '.decaybook', 'report-old-abc123'));
    await restoreInterrupted(project, 'report');
    expect(report()).toBe('first');
  });

  it('leaves a folder that stands alone, whatever lies beside it', async () => {
    await swapIn(project, 'report', write('second'));
    mkdirSync(join(project, '.decaybook', 'report-old-abc123'));
    await restoreInterrupted(project, 'report');
    expect(report()).toBe('second');
  });

  it('makes nothing where there never was a report', async () => {
    await restoreInterrupted(project, 'report');
    expect(existsSync(join(project, 'report'))).toBe(false);
    expect(existsSync(join(project, '.decaybook'))).toBe(false);
  });
});
