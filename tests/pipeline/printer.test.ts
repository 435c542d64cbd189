import { afterEach, describe, expect, it, vi } from 'vitest';
import { endBrowser, findBrowser } from '../../pipeline/browser.ts';
import * as pdf from '../../pipeline/pdf.ts';
import { openPrinter, type Printer } from '../../pipeline/printer.ts';

const found = await findBrowser();
const DATE = '2026-05-04';
const page = (text: string) => `<!doctype html><title>${text}</title><p>${text}</p>`;

describe.skipIf(found === null)('openPrinter()', () => {
  let printer: Printer | null = null;
  afterEach(async () => {
    vi.restoreAllMocks();
    await printer?.close();
  });

  const bytesOf = async (text: string) => {
    const printed = await printer!.print(page(text), DATE);
    if (printed.pdf === null) throw new Error(printed.missing);
    return printed.pdf;
  };

  it('prints the same on the page made beforehand as on one made for it, and many at once', async () => {
    printer = openPrinter();
    printer.start();
    printer.start();
    const [ready, ...made] = await Promise.all([bytesOf('alike'), bytesOf('alike'), bytesOf('alike')]);
    expect(new TextDecoder('latin1').decode(ready!.subarray(0, 5))).toBe('%PDF-');
    for (const other of made) expect(Buffer.compare(other, ready!)).toBe(0);
    printer.start();
    expect(Buffer.compare(await bytesOf('alike'), ready!)).toBe(0);
  });

  it('prints with a browser of its own where the one that was started has gone', async () => {
    const opened = vi.spyOn(pdf, 'openBrowser');
    const anew = vi.spyOn(pdf, 'printWithAny');
    printer = openPrinter();
    printer.start();
    await bytesOf('before');
    expect(anew).not.toHaveBeenCalled();
    const browser = await opened.mock.results[0]!.value;
    await endBrowser(browser);
    expect((await bytesOf('after')).length).toBeGreaterThan(1000);
    expect(anew).toHaveBeenCalledOnce();
  });

  it('says when the browser has all it needs, before the page is done', async () => {
    printer = openPrinter();
    const said: string[] = [];
    const printing = printer.print(page('told'), DATE, () => void said.push('printing'));
    await printing.then(() => said.push('printed'));
    expect(said).toEqual(['printing', 'printed']);
  });

  it('ends its browser by itself after the last of the pages it was opened for', async () => {
    const opened = vi.spyOn(pdf, 'openBrowser');
    printer = openPrinter({ pages: 2 });
    printer.start();
    const first = await bytesOf('one of two');
    const browser = await opened.mock.results[0]!.value;
    expect(browser.connected).toBe(true);
    expect(Buffer.compare(await bytesOf('one of two'), first)).toBe(0);
    await vi.waitFor(() => expect(browser.process()!.signalCode).toBe('SIGKILL'), 5000);
    await printer.close();
  });

  it('closes without having been started', async () => {
    printer = openPrinter();
    await printer.close();
  });
});
