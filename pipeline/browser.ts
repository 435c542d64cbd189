import { type ChildProcess, execFile } from 'node:child_process';
import { once } from 'node:events';
import { access } from 'node:fs/promises';
import os from 'node:os';
import path from 'node:path';
import { promisify } from 'node:util';
import type { Browser } from 'puppeteer-core';
import { makeAside, removed, removeOrphans, removeOwn } from './aside.ts';
import { bundledBrowser } from './bundled-browser.ts';
import { installedBrowserCandidates } from './installed-browsers.ts';
import { beforeSignalEnds } from './interrupt.ts';

const run = promisify(execFile);
/** So long a browser that did not start is waited for when it is asked why. */
const ASKED_MS = 10_000;

/** A browser that can be started, and how. */
export interface FoundBrowser {
  executable: string;
  origin: 'environment' | 'installed' | 'puppeteer-cache' | 'bundled';
  /** Variables to start it with, over those of this process. */
  env: Record<string, string>;
}

/** The questions a search for a browser asks of the machine. */
export interface BrowserProbes {
  env: Record<string, string | undefined>;
  platform: NodeJS.Platform;
  exists: (file: string) => Promise<boolean>;
  /** Executables in the cache folder that puppeteer keeps, newest first. */
  puppeteerCache: (folder: string) => Promise<string[]>;
  bundled: () => Promise<{ executable: string; env: Record<string, string> } | null>;
}

/** The line a user gets who has no browser. */
export const NO_BROWSER =
  'report.pdf was not made: no Chrome or Chromium was found. Install one, or name one in PUPPETEER_EXECUTABLE_PATH, and run again; or open report.html in any browser and print it to PDF.';

/**
 * The browsers to print with, best first: the one named in PUPPETEER_EXECUTABLE_PATH, then installed Chromes and Chromiums, then
 * those in puppeteer's cache (PUPPETEER_CACHE_DIR or its usual place), then on Linux the one of the optional package
 * \@sparticuz/chromium. Each is looked for only when the ones before it did not do.
 */
export async function* findBrowsers(probes: BrowserProbes = machineProbes()): AsyncGenerator<FoundBrowser> {
  const { env, exists } = probes;
  const named = env.PUPPETEER_EXECUTABLE_PATH;
  if (named && (await exists(named))) yield { executable: named, origin: 'environment', env: {} };
  for (const executable of installedBrowserCandidates(probes)) {
    if (await exists(executable)) yield { executable, origin: 'installed', env: {} };
  }
  const cache = env.PUPPETEER_CACHE_DIR || path.join(os.homedir(), '.cache', 'puppeteer');
  for (const executable of await probes.puppeteerCache(cache)) {
    if (await exists(executable)) yield { executable, origin: 'puppeteer-cache', env: {} };
  }
  const bundled = probes.platform === 'linux' ? await probes.bundled() : null;
  if (bundled) yield { ...bundled, origin: 'bundled' };
}

/** The first of {@link findBrowsers}, or null where there is none. */
export async function findBrowser(probes: BrowserProbes = machineProbes()): Promise<FoundBrowser | null> {
  const { value } = await findBrowsers(probes).next();
  return value ?? null;
}

/** Nothing the browser does by itself may reach the network, and text is laid out the same on every machine. */
const FLAGS = [
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-default-apps',
  '--disable-domain-reliability',
  '--disable-sync',
  // Parts of the address bar, loaded beforehand though no window is ever seen: more work than a report's pages.
  '--disable-features=WebUIOmniboxPopup,WebUIOmniboxAimPopup',
  // No processes of their own for what a page to print has no use of: to draw on a screen, and to fetch anything.
  '--in-process-gpu',
  '--disable-software-rasterizer',
  '--enable-features=NetworkServiceInProcess2',
  '--host-resolver-rules=MAP * ~NOTFOUND',
  '--metrics-recording-only',
  '--no-default-browser-check',
  '--no-first-run',
  '--no-pings',
  '--font-render-hinting=none',
  '--force-color-profile=srgb',
];

/** A browser built without windows: it starts in half the time. */
const SHELL = /headless[-_]shell/;

/** What a browser notes for itself lies in the folder for passing files, named after this run, and goes when the browser does. */
export const PROFILE = 'decaybook-browser';

/**
 * Starts a browser without a window. Its sandbox is on, except for the root user, whom Chromium refuses to sandbox.
 * The caller closes it. Throws, with the reason in one line, where it does not start.
 */
export async function launchBrowser(found: FoundBrowser): Promise<Browser> {
  const { launch } = await import('puppeteer-core');
  const sandbox = process.getuid?.() === 0 ? ['--no-sandbox'] : [];
  await removeOrphans(os.tmpdir(), PROFILE);
  const userDataDir = await makeAside(os.tmpdir(), PROFILE);
  const args = [...FLAGS, ...sandbox];
  const env = { ...process.env, ...found.env };
  let child: ChildProcess | null = null;
  const callOff = beforeSignalEnds(() => {
    endNow(child?.pid);
    removeOwn(os.tmpdir(), PROFILE);
  });
  try {
    const browser = await launch({
      executablePath: found.executable,
      userDataDir,
      // Signals end this process in an order of its own, the browser before it.
      handleSIGINT: false,
      handleSIGTERM: false,
      handleSIGHUP: false,
      headless: found.origin === 'bundled' || SHELL.test(found.executable) ? 'shell' : true,
      pipe: true,
      args,
      env,
    });
    child = browser.process();
    child?.once('exit', () => {
      callOff();
      void removed(userDataDir);
    });
    return browser;
  } catch (cause) {
    const printed = await whatItPrints(found.executable, [...args, `--user-data-dir=${userDataDir}`], env);
    callOff();
    await removed(userDataDir);
    throw new Error(`the browser ${found.executable} did not start: ${startFailure(cause, printed)}`, { cause });
  }
}

/**
 * Ends a browser that nothing is wanted of any more. What it would put in order takes it a fifth of a second, and goes with the folder of
 * this run; so it is ended outright where its processes are one group, and asked to close on Windows.
 */
export async function endBrowser(browser: Browser): Promise<void> {
  const child = browser.process();
  if (process.platform === 'win32' || child?.pid === undefined) return browser.close();
  if (child.exitCode !== null || child.signalCode !== null) return;
  const gone = once(child, 'exit');
  endNow(child.pid);
  await gone;
}

/** Ends a browser and the processes it started, which elsewhere than on Windows are one group. */
function endNow(pid: number | undefined): void {
  if (pid === undefined) return;
  process.kill(process.platform === 'win32' ? pid : -pid, 'SIGKILL');
}

/** What a browser that did not start says when it is asked for an empty page: over a pipe, its reason is lost. */
async function whatItPrints(executable: string, args: readonly string[], env: NodeJS.ProcessEnv): Promise<string> {
  const page = ['--headless', '--dump-dom', 'about:blank'];
  return run(executable, [...args, ...page], { env, timeout: ASKED_MS, killSignal: 'SIGKILL' }).then(
    ({ stderr }) => stderr,
    ({ stderr = '' }: { stderr?: string }) => stderr,
  );
}

/** One line about why a browser did not start, out of the many it prints. */
function startFailure(cause: unknown, printed: string): string {
  const text = cause instanceof Error ? cause.message : String(cause);
  if (/no usable sandbox/i.test(`${text}${printed}`)) return 'this system does not let it set up its sandbox';
  const lines = (/^protocol error|target closed/i.test(text) ? `${printed}\n${text}` : text).split('\n');
  const told = lines.map((line) => line.trim()).filter((line) => line !== '' && !/^failed to launch/i.test(line));
  return told[0] ?? 'it gives no reason';
}

function machineProbes(): BrowserProbes {
  return {
    env: process.env,
    platform: process.platform,
    exists: (file) =>
      access(file).then(
        () => true,
        () => false,
      ),
    puppeteerCache: cachedBrowsers,
    bundled: () => bundledBrowser(),
  };
}

async function cachedBrowsers(cacheDir: string): Promise<string[]> {
  const { getInstalledBrowsers } = await import('@puppeteer/browsers');
  const installed = await getInstalledBrowsers({ cacheDir }).catch(() => []);
  return installed
    .filter(({ browser }) => browser === 'chrome' || browser === 'chromium' || browser === 'chrome-headless-shell')
    .sort(
      (a, b) =>
        b.buildId.localeCompare(a.buildId, 'en', { numeric: true }) ||
        Number(SHELL.test(b.browser)) - Number(SHELL.test(a.browser)),
    )
    .map(({ executablePath }) => executablePath);
}
