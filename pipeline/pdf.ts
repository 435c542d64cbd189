import type { Browser, Page } from 'puppeteer-core';
import { endBrowser, type FoundBrowser, findBrowsers, launchBrowser, NO_BROWSER } from './browser.ts';
import { settlePdf } from './settle-pdf.ts';

export interface PrintOptions {
  /** Date of the project, as YYYY-MM-DD: the PDF's dates, so that the same report gives the same bytes. */
  date: string;
  browser: FoundBrowser;
}

/** A PDF, or the line to show instead: what kept it from being made, and how to get it. */
export type Printed = { pdf: Uint8Array } | { pdf: null; missing: string };

/** Margin boxes (the running footer) are drawn from this version of Chromium on. */
const FIRST_VERSION = 131;

/**
 * Prints a page to PDF on the paper its style sheet names, tagged and with its headings as outline. No script of the page runs and no request leaves it.
 * The same page gives the same bytes with the same browser. Throws, with the reason in one line, where the browser does not
 * start, is too old, or fails.
 */
export async function printPdf(html: string, options: PrintOptions): Promise<Uint8Array> {
  const browser = await openBrowser(options.browser);
  try {
    return await printIn(browser, html, options);
  } finally {
    await endBrowser(browser);
  }
}

/** Starts a browser to print with. Throws, with the reason in one line, where it does not start or is too old. */
export async function openBrowser(found: FoundBrowser): Promise<Browser> {
  const browser = await launchBrowser(found);
  const version = Number(/\/(\d+)/.exec(await browser.version())?.[1]);
  if (version >= FIRST_VERSION) return browser;
  await endBrowser(browser);
  throw new Error(`the browser ${found.executable} is version ${version}; ${FIRST_VERSION} or newer is needed`);
}

/** An empty page of a running browser that can run no script and reach no network. Making one takes as long as filling it. */
export async function emptyPage(browser: Browser): Promise<Page> {
  const page = (await startPage(browser)) ?? (await browser.newPage());
  await page.setJavaScriptEnabled(false);
  await page.setOfflineMode(true);
  await page.setRequestInterception(true);
  page.on('request', (request) => {
    const own = /^(data|about):/.test(request.url());
    return own ? request.continue() : request.abort();
  });
  return page;
}

/** The page each browser started with, once it was asked for. */
const startPages = new WeakMap<Browser, Page | null>();

/** The page that a browser starts with, for the first to ask; null for all others, and where it has none. */
async function startPage(browser: Browser): Promise<Page | null> {
  if (startPages.has(browser)) return null;
  startPages.set(browser, null);
  const [page = null] = await browser.pages();
  startPages.set(browser, page);
  return page;
}

/** Lets a page go. The one it started with stays, empty: with its last page a browser may end. Nobody waits for it. */
function letGo(browser: Browser, page: Page): void {
  const gone = startPages.get(browser) === page ? page.goto('about:blank') : page.close();
  // With its browser it goes anyhow.
  gone.catch(() => undefined);
}

/**
 * Has a browser unpack the fonts of pages that will be printed, which it then need not while the page is waited for.
 *
 * @param page an empty page of the browser; it stays empty
 * @param styles style rules that carry the fonts inside themselves, the same to the letter as in the pages
 */
export async function readyFonts(page: Page, styles: string): Promise<void> {
  await page.setContent(`<!doctype html><style>${styles}</style>`, { waitUntil: 'load' });
  await page.evaluate(FONTS_LOADED);
}

/** Every font of a page, whether or not anything is laid out in it yet; one that is broken is done without. */
const FONTS_LOADED = 'Promise.allSettled([...document.fonts].map((face) => face.load())).then(() => undefined)';

/**
 * Prints a page with a browser that is running, as `printPdf` does.
 *
 * @param options.ready an empty page of that browser, made beforehand; left out, one is made
 * @param options.onPrinting called when the browser has all it needs: until it is done, this thread may be busy
 */
export async function printIn(
  browser: Browser,
  html: string,
  { date, ready, onPrinting }: { date: string; ready?: Page | null; onPrinting?: (() => void) | undefined },
): Promise<Uint8Array> {
  const page = ready ?? (await emptyPage(browser));
  try {
    await page.setContent(html, { waitUntil: 'load' });
    // What is shown only in print has asked for none yet.
    await page.evaluate(FONTS_LOADED);
    const printed = page.pdf({
      preferCSSPageSize: true,
      printBackground: true,
      outline: true,
      tagged: true,
      waitForFonts: false,
    });
    // The command is sent within this turn.
    if (onPrinting) setImmediate(onPrinting);
    return settlePdf(await printed, date);
  } finally {
    letGo(browser, page);
  }
}

/**
 * Prints a page with the first browser of this machine that can: one that does not start or is too old makes room for the next.
 * Where none can, the result is the line to show instead: what kept the PDF from being made, and how to get it.
 */
export async function printWithAny(
  html: string,
  options: { date: string; browsers?: AsyncIterable<FoundBrowser> },
): Promise<Printed> {
  const failures: string[] = [];
  for await (const browser of options.browsers ?? findBrowsers()) {
    try {
      return { pdf: await printPdf(html, { date: options.date, browser }) };
    } catch (error) {
      failures.push(error instanceof Error ? error.message : String(error));
    }
  }
  if (failures.length === 0) return { pdf: null, missing: NO_BROWSER };
  const missing = `report.pdf was not made: ${failures.join('; ')}. Name a working browser in PUPPETEER_EXECUTABLE_PATH and run again; or open report.html in any browser and print it to PDF.`;
  return { pdf: null, missing };
}
