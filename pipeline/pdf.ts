import { type FoundBrowser, findBrowser, launchBrowser } from './browser.ts';
import { settlePdf } from './settle-pdf.ts';

export interface PrintOptions {
  /** Date of the project, as YYYY-MM-DD: the PDF's dates, so that the same report gives the same bytes. */
  date: string;
  /** The browser to print with; left out, one is looked for. */
  browser?: FoundBrowser;
}

/** Margin boxes (the running footer) are drawn from this version of Chromium on. */
const FIRST_VERSION = 131;

/**
 * Prints a page to PDF on the paper its style sheet names, tagged and with its headings as outline. No script of the page runs and no request leaves it.
 * The same page gives the same bytes with the same browser. Throws where there is no browser, it is too old, or it fails.
 */
export async function printPdf(html: string, options: PrintOptions): Promise<Uint8Array> {
  const found = options.browser ?? (await findBrowser());
  if (!found) throw new Error('no browser to print with');
  const browser = await launchBrowser(found);
  try {
    const version = Number(/\/(\d+)/.exec(await browser.version())?.[1]);
    if (version < FIRST_VERSION) {
      throw new Error(`the browser ${found.executable} is version ${version}; ${FIRST_VERSION} or newer is needed`);
    }
    const page = await browser.newPage();
    await page.setJavaScriptEnabled(false);
    await page.setOfflineMode(true);
    await page.setRequestInterception(true);
    page.on('request', (request) => {
      const own = /^(data|about):/.test(request.url());
      return own ? request.continue() : request.abort();
    });
    await page.setContent(html, { waitUntil: 'load' });
    await page.evaluate('document.fonts.ready.then(() => undefined)');
    const printed = await page.pdf({
      preferCSSPageSize: true,
      printBackground: true,
      outline: true,
      tagged: true,
    });
    return settlePdf(printed, options.date);
  } finally {
    await browser.close();
  }
}
