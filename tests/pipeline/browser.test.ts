import { readdirSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { describe, expect, it } from 'vitest';
import { isOwn } from '../../pipeline/aside.ts';
import {
  type BrowserProbes,
  endBrowser,
  findBrowser,
  launchBrowser,
  NO_BROWSER,
  PROFILE,
} from '../../pipeline/browser.ts';
import { installedBrowserCandidates } from '../../pipeline/installed-browsers.ts';

/** A machine that has the files named, and nothing else. */
function machine(files: string[], rest: Partial<BrowserProbes> = {}): BrowserProbes {
  return {
    env: { PATH: '/usr/local/bin:/usr/bin' },
    platform: 'linux',
    exists: async (file) => files.includes(file),
    puppeteerCache: async () => [],
    bundled: async () => null,
    ...rest,
  };
}

const NAMED = { PUPPETEER_EXECUTABLE_PATH: '/opt/mine/chrome', PATH: '/usr/bin' };
const CACHED = '/home/ida/.cache/puppeteer/chrome/linux-140/chrome';
const BUNDLED = { executable: '/home/ida/.cache/decaybook/chromium', env: { LD_LIBRARY_PATH: '/lib' } };

describe('findBrowser(probes)', () => {
  const everything: Partial<BrowserProbes> = {
    env: NAMED,
    puppeteerCache: async () => [CACHED],
    bundled: async () => BUNDLED,
  };
  const order = ['/opt/mine/chrome', '/usr/bin/chromium', CACHED];

  it('takes the one named, then the one installed, then the cached, then the bundled one', async () => {
    const found = [];
    for (let first = 0; first <= order.length; first += 1) {
      found.push((await findBrowser(machine(order.slice(first), everything)))?.origin);
    }
    expect(found).toEqual(['environment', 'installed', 'puppeteer-cache', 'bundled']);
  });

  it('looks no further than it must', async () => {
    const bundled = async () => {
      throw new Error('unpacked for nothing');
    };
    expect((await findBrowser(machine(['/usr/bin/chromium'], { bundled })))?.origin).toBe('installed');
  });

  it('passes by a named browser that is not there', async () => {
    expect(await findBrowser(machine(['/usr/bin/chromium'], { env: NAMED }))).toEqual({
      executable: '/usr/bin/chromium',
      origin: 'installed',
      env: {},
    });
  });

  it('looks for the cache where PUPPETEER_CACHE_DIR says', async () => {
    const asked: string[] = [];
    const puppeteerCache = async (folder: string) => {
      asked.push(folder);
      return [];
    };
    await findBrowser(machine([], { env: { PUPPETEER_CACHE_DIR: '/srv/browsers' }, puppeteerCache }));
    expect(asked).toEqual(['/srv/browsers']);
  });

  it('uses the bundled browser on Linux only, with the libraries it needs', async () => {
    const bundled = async () => BUNDLED;
    expect(await findBrowser(machine([], { bundled }))).toEqual({ ...BUNDLED, origin: 'bundled' });
    expect(await findBrowser(machine([], { bundled, platform: 'darwin' }))).toBeNull();
  });

  it('finds nothing where there is nothing, and the line for it says how to get the PDF', async () => {
    expect(await findBrowser(machine([]))).toBeNull();
    expect(NO_BROWSER).toContain('PUPPETEER_EXECUTABLE_PATH');
    expect(NO_BROWSER).not.toContain('\n');
  });
});

describe('installedBrowserCandidates(options)', () => {
  it('knows the usual places of each platform', () => {
    const windows = installedBrowserCandidates({ platform: 'win32', env: { PROGRAMFILES: 'C:\\Program Files' } });
    expect(windows[0]).toBe('C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe');
    const mac = installedBrowserCandidates({
      platform: 'darwin',
      env: { HOME: '/Users/ida', PATH: '/opt/homebrew/bin' },
    });
    expect(mac).toContain('/Applications/Google Chrome.app/Contents/MacOS/Google Chrome');
    expect(mac).toContain('/Users/ida/Applications/Chromium.app/Contents/MacOS/Chromium');
    expect(mac).toContain('/opt/homebrew/bin/chromium');
    const linux = installedBrowserCandidates({ platform: 'linux', env: { PATH: '/a:/b' } });
    // Those without windows first: they start in half the time.
    expect(linux.slice(0, 6)).toEqual(
      ['chrome-headless-shell', 'chromium-headless-shell', 'google-chrome-stable'].flatMap((name) => [
        `/a/${name}`,
        `/b/${name}`,
      ]),
    );
  });

  it('asks for nothing on a machine that says nothing of itself', () => {
    expect(installedBrowserCandidates({ platform: 'win32', env: {} })).toEqual([]);
  });
});

describe('launchBrowser(found) where there is no browser', () => {
  it('throws one line that names the file', async () => {
    const found = { executable: '/nowhere/chrome', origin: 'installed', env: {} } as const;
    const failure = await launchBrowser(found).catch((error: Error) => error.message);
    expect(failure).toMatch(/^the browser \/nowhere\/chrome did not start: .+$/);
  });
});

const real = await findBrowser();

describe.skipIf(real === null)('launchBrowser(found)', () => {
  it('starts the browser of this machine', async () => {
    const browser = await launchBrowser(real!);
    try {
      expect(await browser.version()).toMatch(/Chrom/);
    } finally {
      await browser.close();
    }
  });

  it('is ended outright, with its processes and what it noted', async () => {
    const browser = await launchBrowser(real!);
    const own = () => readdirSync(tmpdir()).filter((entry) => isOwn(entry, PROFILE));
    expect(own().length).toBe(1);
    await endBrowser(browser);
    expect(browser.process()!.signalCode ?? browser.process()!.exitCode).not.toBeNull();
    await expect.poll(own).toEqual([]);
    // Ended twice, or by itself, is ended.
    await endBrowser(browser);
  });
});
