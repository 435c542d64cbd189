import pLimit from 'p-limit';
import type { Browser, Page } from 'puppeteer-core';
import type { Printed } from './pdf.ts';

/** Prints pages. One printer, which is one browser, serves all the projects of a command. */
export interface Printer {
  /** Starts the browser and opens an empty page, so that both are there when there is something to print. */
  start: () => void;
  /**
   * The page as PDF, or the line that says why there is none. `onPrinting` is called when the browser has all it needs for it, if it comes
   * to that: until it is done, this thread may be busy.
   */
  print: (html: string, date: string, onPrinting?: () => void) => Promise<Printed>;
  close: () => Promise<void>;
}

/** Pages printed at once: a browser prints one as fast as a processor can, and holds each in memory. */
const PAGES_AT_ONCE = 2;

/**
 * A printer whose browser is started when it is first asked to; what it needs is loaded no earlier.
 *
 * @param options.pages how many pages will be printed: after the last the browser ends by itself. Left out, it waits for more
 */
export function openPrinter({ pages = Number.POSITIVE_INFINITY } = {}): Printer {
  const limit = pLimit(PAGES_AT_ONCE);
  let left = pages;
  let running: Promise<Browser | null> | null = null;
  let ready: Promise<Page | null> | null = null;
  const start = () => {
    running ??= startFirst();
    return running;
  };
  let closing = Promise.resolve();
  const close = () => {
    const starting = running;
    running = null;
    ready = null;
    if (starting) closing = closing.then(() => endStarted(starting));
    return closing;
  };
  return {
    start: () => {
      ready ??= start().then(firstPage);
    },
    print: (html, date, onPrinting) =>
      limit(async () => {
        const { printIn, printWithAny } = await import('./pdf.ts');
        const browser = await start();
        const page = ready;
        ready = null;
        try {
          if (browser !== null) return { pdf: await printIn(browser, html, { date, ready: await page, onPrinting }) };
        } catch {
          // The browser broke: one that is started for this page may do, and says why if it does not.
        }
        return printWithAny(html, { date });
      }).finally(() => {
        left--;
        if (left === 0) close();
      }),
    close,
  };
}

async function endStarted(starting: Promise<Browser | null>): Promise<void> {
  const browser = await starting;
  if (browser) await (await import('./browser.ts')).endBrowser(browser);
}

/** A page made while there is nothing to print yet; null where that fails, which the print will tell of. */
async function firstPage(browser: Browser | null): Promise<Page | null> {
  if (browser === null) return null;
  const [{ emptyPage, readyFonts }, { fontFaceRules }] = await Promise.all([import('./pdf.ts'), import('./fonts.ts')]);
  try {
    const page = await emptyPage(browser);
    await readyFonts(page, await fontFaceRules(LETTERS));
    return page;
  } catch {
    return null;
  }
}

/** In the part of each font that every page is set in. */
const LETTERS = 'a';

/** The first browser of this machine if it starts: why it does not, a print with the next one tells. */
async function startFirst(): Promise<Browser | null> {
  const [{ findBrowsers }, { openBrowser }] = await Promise.all([import('./browser.ts'), import('./pdf.ts')]);
  try {
    for await (const found of findBrowsers()) return await openBrowser(found);
  } catch {
    // As said above.
  }
  return null;
}
