// The browser's own time for a report's PDF.
//   node print-once.js capture FOLDER PAGE   writes the page that a report of the folder would print, into a file
//   node print-once.js PAGE                  starts the browser, loads the page, prints it, ends the browser: prints the seconds
import { readFileSync, writeFileSync } from 'node:fs';
import { printWithAny } from '../../build/pipeline/pdf.js';
import { SILENT } from '../../build/pipeline/progress.js';
import { reportFolder } from '../../build/pipeline/report.js';
import 'puppeteer-core';

const DATE = '2026-01-01';
const args = process.argv.slice(2);

if (args[0] === 'capture') {
  const [, folder, page] = args;
  let captured = false;
  const printer = {
    start: () => undefined,
    print: async (html) => {
      writeFileSync(page, html);
      captured = true;
      return { pdf: null, missing: 'the page was only captured' };
    },
    close: async () => undefined,
  };
  await reportFolder(folder, { pdf: true, progress: SILENT, printer });
  if (!captured) throw new Error('no page was printed');
} else {
  const html = readFileSync(args[0], 'utf8');
  const begun = performance.now();
  const { pdf, missing } = await printWithAny(html, { date: DATE });
  if (pdf === null) throw new Error(missing);
  const clock_s = (performance.now() - begun) / 1000;
  process.stdout.write(JSON.stringify({ clock_s, page_bytes: html.length, pdf_bytes: pdf.length }));
}
