import { createHash } from 'node:crypto';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { PhotonImage } from '@silvia-odwyer/photon-node';
import { getDocument, type PDFDocumentProxy } from 'pdfjs-dist/legacy/build/pdf.mjs';
import { beforeAll, describe, expect, it } from 'vitest';
import { type FoundBrowser, findBrowser, NO_BROWSER } from '../../pipeline/browser.ts';
import { loadWords } from '../../pipeline/load-words.ts';
import { renderPage } from '../../pipeline/page.ts';
import { printPdf, printWithAny } from '../../pipeline/pdf.ts';
import { settlePdf } from '../../pipeline/settle-pdf.ts';
import { buildDocument } from '../../src/report/build-document.ts';
import { fixtureDocument, fixtureTarget } from '../report/build-fixture.ts';
import { plainText } from '../report/document-text.ts';
import { fixtureDrawings, fixtureFigures, fixtureResults, SHAPES } from '../report/fixture.ts';

const found = await findBrowser();
const studio = fixtureResults(SHAPES.studio);
const document = fixtureDocument(studio);
const DATE = '2026-05-12';

interface Line {
  text: string;
  /** From the left and the bottom of the page, in points. */
  x: number;
  y: number;
}

async function pageLines(pdf: PDFDocumentProxy, number: number): Promise<Line[]> {
  const { items } = await (await pdf.getPage(number)).getTextContent();
  return items.flatMap((item) =>
    'str' in item && item.str.trim() !== ''
      ? [{ text: item.str, x: item.transform[4] as number, y: item.transform[5] as number }]
      : [],
  );
}

/** Without spaces; the two apostrophes share a glyph in the fonts, and Chromium names it by the other one. */
const squeezed = (text: string) => text.replace(/\s+/g, '').replaceAll('\u02bc', '’');

describe('settlePdf(pdf, date)', () => {
  it('sets both dates and keeps every byte in its place', () => {
    const pdf = Buffer.from(
      "/Creator (Chromium)\n/Producer (Skia/PDF m143)\n/CreationDate (D:20991231235959+00'00')\n/ModDate (D:20991231235959+00'00')",
    );
    const settled = Buffer.from(settlePdf(pdf, DATE)).toString('latin1');
    expect(settled).toHaveLength(pdf.length);
    expect(settled).toContain("/CreationDate (D:20260512120000+00'00')\n/ModDate (D:20260512120000+00'00')");
    expect(settled).not.toMatch(/Chromium|Skia/);
  });

  it('finds the end of an entry behind escaped brackets, and leaves alone what is no entry or has no end', () => {
    const settle = (text: string) => Buffer.from(settlePdf(Buffer.from(text, 'latin1'), DATE)).toString('latin1');
    expect(settle('/Creator (A \\) b \\\\)\xff\n/Creator (Some Browser)')).toBe(
      '/Creator (Decaybook)\xff\n/Creator (Decaybook   )',
    );
    expect(settle('/Creator (ab)')).toBe('/Creator (  )');
    for (const text of ['/ModDate (yesterday)', '/Author (Somebody)', '/Creator (no end \\)', '']) {
      expect(settle(text)).toBe(text);
    }
  });
});

const BROKEN: FoundBrowser = { executable: '/nowhere/chrome', origin: 'installed', env: {} };

async function* listed(...browsers: FoundBrowser[]): AsyncGenerator<FoundBrowser> {
  yield* browsers;
}

describe('printWithAny(html, options)', () => {
  it('gives the line to show where there is no browser', async () => {
    expect(await printWithAny('', { date: DATE, browsers: listed() })).toEqual({ pdf: null, missing: NO_BROWSER });
  });

  it('says what is wrong with the browsers there are, in one line', async () => {
    const result = await printWithAny('', { date: DATE, browsers: listed(BROKEN) });
    expect(result).toMatchObject({
      pdf: null,
      missing: expect.stringMatching(/^report\.pdf was not made: .*\/nowhere\/chrome.*$/),
    });
  });

  it.skipIf(found === null)('passes by a browser that does not start', async () => {
    const result = await printWithAny('<p>x</p>', { date: DATE, browsers: listed(BROKEN, found!) });
    expect(Buffer.from(result.pdf!.subarray(0, 5)).toString()).toBe('%PDF-');
  });
});

describe.skipIf(found === null)('printPdf(html, options)', () => {
  let bytes: Uint8Array;
  let pdf: PDFDocumentProxy;
  let html: string;

  beforeAll(async () => {
    html = await renderPage(document, { logo: null, paper: 'a4', drawings: fixtureDrawings(studio) });
    bytes = await printPdf(html, { date: DATE, browser: found! });
    pdf = await getDocument({ data: bytes.slice(), useSystemFonts: false, verbosity: 0 }).promise;
  });

  it('gives the same bytes for the same page', async () => {
    const hash = (data: Uint8Array) => createHash('sha256').update(data).digest('hex');
    expect(hash(await printPdf(html, { date: DATE, browser: found! }))).toBe(hash(bytes));
  });

  it('prints A4 pages, and says on each that it is indicative, of what report, and which page of how many', async () => {
    expect(pdf.numPages).toBeGreaterThan(10);
    for (let number = 1; number <= pdf.numPages; number += 1) {
      const page = await pdf.getPage(number);
      const [, , width, height] = page.view;
      expect([Math.round(width!), Math.round(height!)]).toEqual([595, 842]);
      const foot = (await pageLines(pdf, number)).filter((line) => line.y < 60).sort((a, b) => a.x - b.x);
      expect(squeezed(foot.map((line) => line.text).join(''))).toBe(
        squeezed(`Indicative, not certified HLW-07 Page ${number} of ${pdf.numPages}`),
      );
    }
  });

  it('has every heading in its outline, in order', async () => {
    interface Entry {
      title: string;
      items: Entry[];
    }
    const flat = (entries: Entry[]): string[] => entries.flatMap((entry) => [entry.title, ...flat(entry.items)]);
    const outline = flat(await pdf.getOutline()).map(squeezed);
    const headings = [
      document.title,
      document.labels.contents,
      ...document.sections.flatMap((section) => [
        `${section.number} ${section.title}`,
        ...section.blocks.flatMap((block) => (block.kind === 'subheading' ? [plainText(block.text)] : [])),
      ]),
    ].map(squeezed);
    expect(outline).toEqual(headings);
  });

  it('holds the photos, though the page is shown nowhere before it is printed', async () => {
    const jpeg = new PhotonImage(new Uint8Array(16 * 12 * 4).fill(200), 16, 12).get_bytes_jpeg(80);
    const photo = { stage: studio.project.stages[0]!.id, file: 'photos/a.jpg', caption: 'The wall' };
    const pictured = await renderPage(fixtureDocument({ ...studio, photos: [photo] }), {
      logo: null,
      paper: 'a4',
      drawings: fixtureDrawings(studio),
      photos: new Map([[photo.file, jpeg]]),
    });
    const images = (printed: Uint8Array) =>
      Buffer.from(printed)
        .toString('latin1')
        .match(/\/Subtype \/Image\b/g) ?? [];
    expect(images(bytes)).toHaveLength(0);
    expect(images(await printPdf(pictured, { date: DATE, browser: found! }))).toHaveLength(1);
  });

  it('embeds every font it uses, and uses none of the machine', () => {
    const text = Buffer.from(bytes).toString('latin1');
    const descriptors = text.match(/\/Type \/FontDescriptor[\s\S]*?>>/g) ?? [];
    expect(descriptors.length).toBeGreaterThan(3);
    expect(descriptors.filter((descriptor) => !/\/FontFile[23] /.test(descriptor))).toEqual([]);
    expect(descriptors.filter((descriptor) => !/\/FontName \/[A-Z]{6}\+SourceS/.test(descriptor))).toEqual([]);
  });

  it('is tagged, in a language, under its title, with the date of the project', async () => {
    const { info } = await pdf.getMetadata();
    expect(info).toMatchObject({ Title: document.title, Language: 'en-GB', CreationDate: "D:20260512120000+00'00'" });
    expect(await pdf.getMarkInfo()).toMatchObject({ Marked: true });
  });

  it('can be searched: the answer, a value and a caution are text', async () => {
    const pages = await Promise.all(Array.from({ length: pdf.numPages }, (_, index) => pageLines(pdf, index + 1)));
    const text = squeezed(
      pages
        .flat()
        .map((line) => line.text)
        .join(''),
    );
    expect(text).toContain(squeezed(plainText(document.cover.answer)));
    expect(text).toContain(squeezed(document.cover.key_figures[0]!.value));
    expect(text).toContain(squeezed('Fixings and loads overhead'));
  });

  it('leaves no heading alone at the foot of a page', async () => {
    const below = document.sections.flatMap((section) =>
      section.blocks.flatMap((block) => (block.kind === 'subheading' ? [plainText(block.text)] : [])),
    );
    const titles = new Set([...document.sections.map((section) => section.title), ...below].map(squeezed));
    const alone: string[] = [];
    for (let number = 1; number <= pdf.numPages; number += 1) {
      const lines = (await pageLines(pdf, number)).filter((line) => line.y > 60);
      const lowest = Math.min(...lines.map((line) => line.y));
      for (const line of lines) if (titles.has(squeezed(line.text)) && line.y - lowest < 30) alone.push(line.text);
    }
    expect(alone).toEqual([]);
  });

  it('keeps the cover on one page of US letter as of A4, whole and alone', async () => {
    const letter = await renderPage(document, { logo: null, paper: 'letter', drawings: fixtureDrawings(studio) });
    const printed = await getDocument({ data: await printPdf(letter, { date: DATE, browser: found! }), verbosity: 0 })
      .promise;
    expect((await printed.getPage(1)).view.slice(2).map(Math.round)).toEqual([612, 792]);
    for (const each of [pdf, printed]) {
      const [first, second] = await Promise.all([1, 2].map((number) => pageLines(each, number)));
      expect(squeezed(first!.map((line) => line.text).join(''))).toContain('certifiesnothing');
      expect(second!.some((line) => line.text === document.labels.contents)).toBe(true);
    }
  });

  it('keeps the cover of the wordier language on one page of US letter too', async () => {
    const results = fixtureResults(SHAPES.studio);
    const input = { results, figures: fixtureFigures(results), target: fixtureTarget(results) };
    const german = buildDocument({ ...input, words: await loadWords('de') });
    const letter = await renderPage(german, { logo: null, paper: 'letter', drawings: fixtureDrawings(results) });
    const printed = await getDocument({ data: await printPdf(letter, { date: DATE, browser: found! }), verbosity: 0 })
      .promise;
    const [first, second] = await Promise.all([1, 2].map((number) => pageLines(printed, number)));
    expect(squeezed(first!.map((line) => line.text).join(''))).toContain('wasdazufehlt');
    expect(second!.some((line) => line.text === 'Inhalt')).toBe(true);
    expect((await printed.getMetadata()).info).toMatchObject({ Language: 'de-DE' });
  });

  it('repeats the head of a table that runs over several pages', async () => {
    const results = fixtureResults(SHAPES.large);
    const drawings = fixtureDrawings(results);
    const large = await renderPage(fixtureDocument(results), { logo: null, paper: 'a4', drawings });
    const printed = await getDocument({ data: await printPdf(large, { date: DATE, browser: found! }), verbosity: 0 })
      .promise;
    const pages = await Promise.all(
      Array.from({ length: printed.numPages }, (_, index) => pageLines(printed, index + 1)),
    );
    const texts = pages.map((lines) => squeezed(lines.map((line) => line.text).join(' ')));
    // Forty-eight rows, one for each stage and position, end in this column.
    const holding = texts.filter((text) => text.includes('10of10') || text.includes('9of9'));
    expect(holding.length).toBeGreaterThan(1);
    expect(holding.filter((text) => !/Responseswithone|Responsesused/.test(text))).toEqual([]);
  });

  it('runs no script of the page and lets no request out', async () => {
    let requests = 0;
    const server = createServer((_request, response) => {
      requests += 1;
      response.end();
    });
    await new Promise<void>((listening) => server.listen(0, '127.0.0.1', listening));
    const { port } = server.address() as AddressInfo;
    const trap = `<!doctype html><html lang="en"><title>still</title><body><p id="p">as written</p>
      <img src="http://127.0.0.1:${port}/x.png" alt=""><link rel="stylesheet" href="http://127.0.0.1:${port}/x.css">
      <script>document.getElementById('p').textContent = 'run'</script>`;
    const printed = await getDocument({ data: await printPdf(trap, { date: DATE, browser: found! }), verbosity: 0 })
      .promise;
    await new Promise((closed) => server.close(closed));
    expect((await pageLines(printed, 1)).map((line) => line.text)).toContain('as written');
    expect(requests).toBe(0);
  });
});
