import { appendFileSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as delay } from 'node:timers/promises';
import { afterAll, afterEach, describe, expect, it } from 'vitest';
import { openPool } from '../../pipeline/pool.ts';
import { openPrinter } from '../../pipeline/printer.ts';
import { serveReport } from '../../pipeline/serve-report.ts';
import { watchProject } from '../../pipeline/watch.ts';
import { wholeFile } from '../../pipeline/whole-file.ts';
import { smallTake, writeSmallProject, writeSmallYaml } from './small-project.ts';

const scratch = mkdtempSync(join(tmpdir(), 'decaybook-watch-'));
const waiting = { still_ms: 100, unfinished_ms: 60_000 };
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

let stop = new AbortController();
afterEach(() => stop.abort());

/** A watch under way: what it tells, and a promise of its end. */
function watched(folder: string, serve: { port: number } | null = null) {
  stop = new AbortController();
  const told: string[] = [];
  const end = watchProject(folder, {
    pdf: false,
    serve,
    waiting,
    pool: openPool({ jobs: 1 }),
    printer: openPrinter(),
    tell: (text) => void told.push(text),
    signal: stop.signal,
  });
  const until = async (times: number) => {
    while (told.filter((text) => text === 'Waiting for changes.').length < times) await delay(20);
  };
  return { told, end, until };
}

describe('watchProject(folder, options)', () => {
  it('reports when a recording is whole and not before, says what moved, keeps the last good report, and ends', async () => {
    const folder = join(scratch, 'project');
    writeSmallProject(folder);
    const { told, end, until } = watched(folder);
    await until(1);
    expect(existsSync(join(folder, 'report', 'report.html'))).toBe(true);

    const wav = smallTake(3);
    const file = join(folder, 'recordings/treated/A/02.wav');
    writeFileSync(file, wav.subarray(0, 4000));
    await delay(600);
    expect(told.length).toBe(2);
    appendFileSync(file, wav.subarray(4000));
    await until(2);
    expect(told[2]).toMatch(/^Since the last report:\n {2}new: recordings\/treated\/A\/02.wav, 2 of 2 responses used/);

    const good = readFileSync(join(folder, 'report', 'results.json'), 'utf8');
    writeFileSync(join(folder, 'project.yaml'), 'decaybook: 1\n');
    await until(3);
    expect(told).toContain('The last report stands.');
    expect(readFileSync(join(folder, 'report', 'results.json'), 'utf8')).toBe(good);

    writeSmallYaml(folder);
    await until(4);
    expect(told.at(-2)).toBe('Nothing moved.');
    stop.abort();
    await end;
  }, 30_000);
});

describe('wholeFile(path, options)', () => {
  it('waits for a file that grows, and for one whose header leaves its length open to stand still for long', async () => {
    const path = join(scratch, 'growing.wav');
    const wav = Buffer.from(smallTake(1));
    wav.writeUInt32LE(0, 4);
    writeFileSync(path, wav);
    const begun = performance.now();
    await wholeFile(path, { still_ms: 40, unfinished_ms: 400 });
    expect(performance.now() - begun).toBeGreaterThan(380);
  });

  it('does not wait for a file that has gone', async () => {
    await wholeFile(join(scratch, 'gone.wav'), { still_ms: 60_000, unfinished_ms: 60_000 });
  });
});

describe('serveReport(folder, port)', () => {
  it('shows the report to this machine alone, and nothing beside it', async () => {
    const folder = join(scratch, 'served');
    writeSmallProject(folder);
    const { until, end } = watched(folder);
    await until(1);
    stop.abort();
    await end;
    const server = await serveReport(folder, 0);
    try {
      expect(new URL(server.address).hostname).toBe('127.0.0.1');
      const status = async (path: string, init?: RequestInit) => (await fetch(`${server.address}${path}`, init)).status;
      expect(await status('')).toBe(200);
      expect(await status('report.html')).toBe(200);
      expect(await status('charts/decay-by-band.svg')).toBe(200);
      expect(await status('%2e%2e/project.yaml')).toBe(404);
      expect(await status('..%2fproject.yaml')).toBe(404);
      expect(await status('results.json', { method: 'POST' })).toBe(405);
      const events = await fetch(`${server.address}changes`);
      server.changed();
      const reader = events.body!.getReader();
      let heard = '';
      while (!heard.includes('data: changed')) heard += Buffer.from((await reader.read()).value!).toString();
      await reader.cancel();
    } finally {
      await server.close();
    }
  });
});
