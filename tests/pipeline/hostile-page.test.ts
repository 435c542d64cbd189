import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser, Page } from 'puppeteer-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { findBrowser, launchBrowser } from '../../pipeline/browser.ts';
import { printIn } from '../../pipeline/pdf.ts';
import { SILENT } from '../../pipeline/progress.ts';
import { readProject } from '../../pipeline/read.ts';
import { recordingSheetPage } from '../../pipeline/recording-sheet.ts';
import { reportFolder } from '../../pipeline/report.ts';
import { drawFrom } from '../hostile/draw.ts';
import { PAYLOADS, suspicious, writeHostileProject } from '../hostile/page.ts';

/** As for all drawn inputs. HOSTILE_PAGES=n makes so many projects. */
const SEED = process.env.DRAWN_SEED ?? '20261125';
const PAGES = Number(process.env.HOSTILE_PAGES ?? 1);
const found = await findBrowser();
const base = mkdtempSync(join(tmpdir(), 'decaybook-page-'));

/** Stands for the network: whoever is fetched from tells here. */
const asked: string[] = [];
const server = createServer((request, response) => {
  asked.push(request.url ?? '');
  response.end();
});

let browser: Browser | null = null;
beforeAll(async () => {
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  browser = found && (await launchBrowser(found));
});
afterAll(async () => {
  await browser?.close();
  server.close();
  rmSync(base, { recursive: true });
});

/** Opens an address as a reader would, and tells what in it is suspicious and what it asked for. */
async function opened(url: string, scripts: number): Promise<{ suspects: string[]; requests: string[] }> {
  const page: Page = await browser!.newPage();
  const requests: string[] = [];
  page.on('request', (request) => requests.push(request.url()));
  page.on('dialog', (dialog) => void dialog.dismiss());
  await page.goto(url, { waitUntil: 'load' });
  const suspects = (await page.evaluate(suspicious(scripts))) as string[];
  await page.close();
  return { suspects, requests: requests.filter((one) => one !== url && !one.startsWith('data:')) };
}

describe.skipIf(found === null)('a report of a project whose every text, file name and picture is hostile', () => {
  it.each(Array.from({ length: PAGES }, (_, i) => i))(
    'shows all of it as text, runs nothing, asks for nothing, on screen and on paper (%i)',
    async (number) => {
      const folder = mkdtempSync(join(base, 'project-'));
      const address = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
      writeHostileProject(folder, drawFrom(`${SEED} page ${number}`), address);
      let paper = '';
      const print = async (html: string, date: string) => {
        paper = html;
        return { pdf: await printIn(browser!, html, { date }) };
      };
      const printer = { start: () => undefined, print, close: async () => undefined };
      const reported = await reportFolder(folder, { pdf: true, progress: SILENT, printer });
      expect(reported.messages.filter(({ severity }) => severity === 'error')).toEqual([]);

      const report = join(folder, 'report');
      expect(await opened(pathToFileURL(join(report, 'report.html')).href, 1)).toEqual({ suspects: [], requests: [] });
      const onPaper = `data:text/html;base64,${Buffer.from(paper).toString('base64')}`;
      expect(await opened(onPaper, 0)).toEqual({ suspects: [], requests: [] });
      const { project } = await readProject(folder);
      const sheet = `data:text/html;base64,${Buffer.from(await recordingSheetPage(project!)).toString('base64')}`;
      expect(await opened(sheet, 0)).toEqual({ suspects: [], requests: [] });

      const charts = readdirSync(join(report, 'charts')).filter((name) => name.endsWith('.svg'));
      expect(charts.length).toBeGreaterThan(3);
      for (const name of charts) {
        const chart = pathToFileURL(join(report, 'charts', name)).href;
        expect(await opened(chart, 0), name).toEqual({ suspects: [], requests: [] });
      }
      expect(readFileSync(join(report, 'report.pdf'), 'latin1')).not.toMatch(
        /\/JavaScript|\/JS\b|\/Launch|\/URI\s*\(|\/EmbeddedFile/,
      );
      expect(readFileSync(join(report, 'results.csv'), 'utf8')).not.toMatch(/(?:^|,)"?[=+@]/m);
      expect(asked).toEqual([]);
    },
    60_000,
  );

  it('would be noticed if it were not text', async () => {
    const address = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
    const raw = PAYLOADS.slice(0, 3).join('\n').replaceAll('ADDRESS', address);
    const { suspects, requests } = await opened(`data:text/html,${encodeURIComponent(raw)}`, 0);
    expect(suspects).toEqual(
      expect.arrayContaining(['1 scripts', 'img onerror', 'svg onload', expect.stringMatching(/^ran \d/)]),
    );
    expect(requests).toEqual([`${address}/a`]);
  });

  it('is printed by a browser in its sandbox, save for root', () => {
    const args = browser!.process()!.spawnargs;
    expect(args.includes('--no-sandbox')).toBe(process.getuid?.() === 0);
    expect(
      args.filter((arg) =>
        /disable-web-security|allow-file-access|disable-setuid-sandbox|remote-debugging-port/.test(arg),
      ),
    ).toEqual([]);
  });
});
