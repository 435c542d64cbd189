import pLimit from 'p-limit';
import type { Browser } from 'puppeteer-core';
import type { Printed } from './pdf.ts';

/** Prints pages. One printer, which is one browser, serves all the projects of a command. */
export interface Printer {
  /** Starts the browser, so that it is there when the page is. */
  start: () => void;
  /** The page as PDF, or the line that says why there is none. */
  print: (html: string, date: string) => Promise<Printed>;
  close: () => Promise<void>;
}

/** Pages printed at once: a browser prints one as fast as a processor can, and holds each in memory. */
const PAGES_AT_ONCE = 2;

/** A printer whose browser is started when it is first asked to; what it needs is loaded no earlier. */
export function openPrinter(): Printer {
  const limit = pLimit(PAGES_AT_ONCE);
  let running: Promise<Browser | null> | null = null;
  const start = () => {
    running ??= startFirst();
    return running;
  };
  return {
    start: () => void start(),
    print: (html, date) =>
      limit(async () => {
        const { printIn, printWithAny } = await import('./pdf.ts');
        const browser = await start();
        try {
          if (browser !== null) return { pdf: await printIn(browser, html, date) };
        } catch {
          // The browser broke: one that is started for this page may do, and says why if it does not.
        }
        return printWithAny(html, { date });
      }),
    close: async () => {
      const starting = running;
      running = null;
      await (await starting)?.close();
    },
  };
}

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
