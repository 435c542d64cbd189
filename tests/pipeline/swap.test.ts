import { spawnSync } from 'node:child_process';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Worker } from 'node:worker_threads';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { makeAside, removeOwn } from '../../pipeline/aside.ts';
import { abandonSwap, restoreInterrupted, swapIn } from '../../pipeline/swap.ts';
import { replaceFile, writeFiles } from '../../pipeline/write-files.ts';

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

describe('what runs that were ended by force leave', () => {
  /** A process that has ended. */
  const gone = spawnSync(process.execPath, ['--eval', '']).pid;
  const host = async () => {
    const aside = await makeAside(project, 'x');
    return /x-([0-9a-f]{6})-/.exec(aside)![1]!;
  };

  it('goes with the next run where its process is over, and stays where it runs or cannot be asked', async () => {
    const work = join(project, '.decaybook');
    const mine = await makeAside(work, 'report-new');
    const [over, elsewhere] = [`report-new-${await host()}-${gone}-abcdef`, `report-new-000000-${gone}-abcdef`];
    for (const name of [over, elsewhere, 'report-gone-abcdef']) mkdirSync(join(work, name));
    await restoreInterrupted(project, 'report');
    expect(readdirSync(work).sort()).toEqual([mine.slice(work.length + 1), elsewhere].sort());
    const old = new Date(Date.now() - 2 * 3_600_000);
    utimesSync(join(work, elsewhere), old, old);
    await restoreInterrupted(project, 'report');
    expect(readdirSync(work)).toEqual([mine.slice(work.length + 1)]);
  });

  it('never stands in for the report once it is half removed', async () => {
    mkdirSync(join(project, '.decaybook', 'report-gone-abcdef'), { recursive: true });
    expect(await restoreInterrupted(project, 'report')).toBe(false);
    expect(existsSync(join(project, 'report'))).toBe(false);
  });

  it('holds up the next swap for no more than seconds where it is a lock', async () => {
    mkdirSync(join(project, '.decaybook', 'report.lock'), { recursive: true });
    const begun = performance.now();
    await swapIn(project, 'report', write('first'));
    expect(performance.now() - begun).toBeLessThan(8000);
    expect(report()).toBe('first');
  });
});

describe('what a run removes before a signal ends it', () => {
  /** Another thread that writes small files into a folder for a while, then says how many there were. */
  const writer = (folder: string, lasts_ms: number) =>
    new Worker(
      `const { parentPort, workerData } = require('node:worker_threads');
      const { writeFileSync } = require('node:fs');
      const { folder, lasts_ms } = workerData;
      writeFileSync(folder + '/first', '');
      parentPort.postMessage('begun');
      const until = performance.now() + lasts_ms;
      let written = 1;
      try {
        while (performance.now() < until) writeFileSync(folder + '/' + written++, '');
      } catch {}
      parentPort.postMessage(written);`,
      { eval: true, workerData: { folder, lasts_ms } },
    );
  const told = (thread: Worker) => new Promise<unknown>((resolve) => thread.once('message', resolve));

  it('goes, also where files still appear while it is removed', async () => {
    const mine = await makeAside(project, 'report-new');
    const thread = writer(mine, 400);
    expect(await told(thread)).toBe('begun');
    const written = told(thread);
    removeOwn(project, 'report-new');
    expect(readdirSync(project)).toEqual([]);
    expect(await written).toBeGreaterThan(1);
    await thread.terminate();
  });

  it('goes with the lock, where this run holds it', async () => {
    await swapIn(project, 'report', write('first'));
    const lock = join(project, '.decaybook', 'report.lock');
    const swapping = swapIn(project, 'report', write('second')).catch((fault: unknown) => fault);
    while (!existsSync(lock)) await new Promise((resolve) => setImmediate(resolve));
    abandonSwap(project, 'report');
    expect(readdirSync(join(project, '.decaybook'))).toEqual([]);
    await swapping;
    expect(['first', 'second']).toContain(report());
  });

  it('leaves the lock of another run alone', async () => {
    const lock = join(project, '.decaybook', 'report.lock');
    mkdirSync(lock, { recursive: true });
    abandonSwap(project, 'report');
    expect(existsSync(lock)).toBe(true);
    // Nor where this run was waiting for it.
    const swapping = swapIn(project, 'report', write('first'));
    await new Promise((resolve) => setTimeout(resolve, 200));
    abandonSwap(project, 'report');
    expect(existsSync(lock)).toBe(true);
    await expect(swapping).rejects.toThrow();
  });

  it('does not come back with a file of it that was still to be written', async () => {
    const mine = await makeAside(project, 'report-new');
    removeOwn(project, 'report-new');
    const files = new Map([
      ['charts/band/one.svg', new Uint8Array(1)],
      ['text', new Uint8Array(1)],
    ]);
    await expect(writeFiles(mine, files, 'report')).rejects.toThrow('report/charts cannot be written');
    expect(readdirSync(project)).toEqual([]);
  });
});

describe('writeFiles', () => {
  it('makes the folders between, also where they are there', async () => {
    const files = new Map(['a/b/c', 'a/d', 'e'].map((name) => [name, new TextEncoder().encode(name)]));
    for (let i = 0; i < 2; i++) await writeFiles(project, files, 'report');
    for (const name of files.keys()) expect(readFileSync(join(project, name), 'utf8')).toBe(name);
  });
});

describe('a folder or disk that cannot be written', () => {
  // /dev/full takes nothing, as a full disk (Linux).
  it.skipIf(!existsSync('/dev/full'))(
    'is told in a line with the file, the room needed and the room there is',
    async () => {
      await swapIn(project, 'report', write('first'));
      const files = new Map([
        ['ok.txt', new Uint8Array(1)],
        ['full.txt', new Uint8Array(150_000)],
      ]);
      const filling = swapIn(project, 'report', async (folder) => {
        symlinkSync('/dev/full', join(folder, 'full.txt'));
        await writeFiles(folder, files, join(project, 'report'));
      });
      await expect(filling).rejects.toThrow(
        /report\/full\.txt cannot be written: the disk is full \(0\.2 MB are needed and [\d.]+ MB are free\): make room and run the command again; the earlier report stands$/,
      );
      expect(report()).toBe('first');
      expect(readdirSync(join(project, '.decaybook'))).toEqual([]);
    },
  );

  it.skipIf(!existsSync('/dev/full'))('does not lose a file that is to be replaced', async () => {
    const path = join(project, 'sheet.html');
    writeFileSync(path, 'earlier');
    symlinkSync('/dev/full', `${path}.part`);
    await expect(replaceFile(path, 'later')).rejects.toThrow(/sheet\.html cannot be written: the disk is full/);
    expect(readFileSync(path, 'utf8')).toBe('earlier');
    expect(readdirSync(project)).toEqual(['sheet.html']);
  });
});
