import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { PhotonImage } from '@silvia-odwyer/photon-node';
import type { Browser, Page } from 'puppeteer-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { findBrowser, launchBrowser } from '../../pipeline/browser.ts';
import { chartsOf } from '../../pipeline/chart.ts';
import { drawCharts } from '../../pipeline/draw.ts';
import { embedClips } from '../../pipeline/embed-clips.ts';
import { cssString, escapeHtml, inlineHtml } from '../../pipeline/html.ts';
import type { PreparedPair } from '../../pipeline/listen.ts';
import { renderPage } from '../../pipeline/page.ts';
import { encodeWav } from '../../src/audio/encode-wav.ts';
import type { Results } from '../../src/report/results.ts';
import { fixtureDocument, fixtureTarget } from '../report/build-fixture.ts';
import { fixtureDrawings, fixtureFigures, fixtureResults, SHAPES, seededRandom } from '../report/fixture.ts';

const found = await findBrowser();
const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const LOGO = {
  mime: 'image/svg+xml',
  bytes: Buffer.from(
    '<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9" onload="document.title=1"><script>document.title=2</script></svg>',
  ),
} as const;

const PHOTOS = new Map([
  ['photos/a.jpg', new PhotonImage(new Uint8Array(16 * 12 * 4).fill(200), 16, 12).get_bytes_jpeg(80)],
]);

/** A second of noise, before and after, at the place of the comparison from the first stage to the last. */
function listeningOf({ project }: Results): PreparedPair {
  const random = seededRandom(7);
  const [from, to] = [project.stages[0]!.id, project.stages.at(-1)!.id];
  const samples = Float64Array.from({ length: 16000 }, (_, i) => (random() - 0.5) * 10 ** (-i / 4000));
  const wav = encodeWav(samples, 16000, 24);
  const clip = (name: string) => ({ file: `listen/${name}.wav`, recording: 'a.wav', onset_s: 0, gain_db: -3.2 });
  return {
    wavs: [wav, wav],
    entry: { from, to, position: 'A', matched_by: 'direct-sound', clips: [clip('before'), clip('after')] },
  };
}

/** A page with the charts that its values can fill, drawn as for a real report, and stand-ins for those made from recordings. */
async function pageOf(shape: keyof typeof SHAPES, medium: 'paper' | 'screen' = 'screen'): Promise<string> {
  const invented = fixtureResults(SHAPES[shape]);
  const listening = listeningOf(invented);
  const shown = { stage: invented.project.stages[0]!.id, file: 'photos/a.jpg', caption: 'The <b>wall</b>' };
  const results = { ...invented, listening: [listening.entry], photos: [shown] };
  const drawn = await drawCharts(chartsOf(results, { traces: [], target: fixtureTarget(results) }));
  const charts = drawn.map(({ chart }) => chart);
  const others = fixtureFigures(results).filter(({ id }) => !charts.some((chart) => chart.id === id));
  const document = fixtureDocument(results, [...charts, ...others]);
  const drawings = new Map([
    ...fixtureDrawings(results),
    ...drawn.map(({ chart, svg }): [string, string] => [chart.id, svg]),
  ]);
  const clips = embedClips(document, [listening]);
  return renderPage(document, { logo: LOGO, paper: 'a4', medium, clips, drawings, photos: PHOTOS });
}
const studio = await pageOf('studio');
const hostile = await pageOf('hostile');
const onPaper = await pageOf('hostile', 'paper');

/** Addresses a page would fetch, namespaces and its own fragments aside. */
function addresses(html: string): string[] {
  const found = html.matchAll(/\b(?:src|href|action|data|poster|srcset)\s*=\s*"([^"]*)"|url\(\s*["']?([^"')]+)/g);
  return [...found].map((match) => match[1] ?? match[2]!).filter((address) => !/^(#|data:)/.test(address));
}

describe('renderPage(document, assets)', () => {
  it('is one file: no address in it leads outside', () => {
    expect(studio).toContain('href="#method"');
    expect(addresses(studio)).toEqual([]);
    expect(addresses(hostile)).toEqual([]);
  });

  it('holds no script on paper and lets none run', () => {
    expect(onPaper).not.toMatch(/<script|<audio|<button/i);
    expect(onPaper).toContain("default-src 'none'; style-src");
  });

  it('holds one script on screen, which the policy knows by its hash, and lets no other run', () => {
    for (const html of [studio, hostile]) {
      const scripts = [...html.matchAll(/<script[^>]*>([\s\S]*?)<\/script>/gi)].map((match) => match[1]!);
      expect(scripts).toHaveLength(1);
      const hash = createHash('sha256').update(scripts[0]!).digest('base64');
      expect(html).toContain(`default-src 'none'; script-src 'sha256-${hash}'; media-src data:; style-src`);
      const markup = html.replace(/"[^"]*"/g, '""').match(/<[a-z][^>]*>/gi) ?? [];
      expect(markup.filter((tag) => /\son[a-z]+=/i.test(tag))).toEqual([]);
    }
  });

  it('shows a photo as a numbered figure, its caption as typed', () => {
    const photo =
      /<figure id="photo-1"><img src="data:image\/jpeg;base64,[^"]+" alt="([^"]*)"><figcaption>(.*?)<\/figcaption>/;
    const [, alt, caption] = photo.exec(studio)!;
    expect(alt).toBe('Photograph of the room, Bare room');
    expect(caption).toMatch(/<span class="label">Figure \d+<\/span>.*Bare room: The &lt;b&gt;wall&lt;\/b&gt;/);
  });

  it('gives the same bytes for the same document', async () => {
    expect(await pageOf('studio')).toBe(studio);
  });

  it('carries the parts of the fonts it has letters of, and no others', async () => {
    const results = fixtureResults(SHAPES.bedroom);
    const titled = { ...results, project: { ...results.project, title: 'Студия в Łodzi' } };
    const plain = await renderPage(fixtureDocument(results), { logo: null, paper: 'a4' });
    const slavic = await renderPage(fixtureDocument(titled), { logo: null, paper: 'a4' });
    const faces = (html: string) => html.match(/@font-face/g)?.length;
    // Five faces; each has a Latin part, and two more parts for the letters of that title.
    expect(faces(plain)).toBe(5);
    expect(faces(slavic)).toBe(15);
  });

  it('names the paper asked for', async () => {
    const letter = await renderPage(fixtureDocument(fixtureResults(SHAPES.bedroom)), { logo: null, paper: 'letter' });
    expect(letter).toContain('size:8.5in 11in');
    expect(studio).toContain('size:210mm 297mm');
  });
});

describe('escapeHtml(text), inlineHtml(runs), cssString(text)', () => {
  it('leave nothing that could be read as markup', () => {
    expect(escapeHtml(`<a href="x" title='y'>&`)).toBe('&lt;a href=&quot;x&quot; title=&#39;y&#39;&gt;&amp;');
    expect(escapeHtml('a\u0000b\ud800c')).toBe('a\ufffdb\ufffdc');
    expect(
      inlineHtml([
        { kind: 'strong', text: ['<b>'] },
        { kind: 'reference', to: '"x', label: '<1>' },
      ]),
    ).toBe('<strong>&lt;b&gt;</strong><a href="#&quot;x">&lt;1&gt;</a>');
    expect(cssString('a"}</style>\\')).toBe('"a\\22 \\7d \\3c \\2f style\\3e \\5c "');
  });
});

describe.skipIf(found === null)('the page in a browser', () => {
  let browser: Browser;
  beforeAll(async () => {
    browser = await launchBrowser(found!);
  });
  afterAll(async () => {
    await browser.close();
  });

  async function open(html: string, width: number, scheme: 'light' | 'dark'): Promise<Page> {
    const page = await browser.newPage();
    await page.setViewport({ width, height: 900 });
    await page.emulateMediaFeatures([{ name: 'prefers-color-scheme', value: scheme }]);
    await page.setContent(html, { waitUntil: 'load' });
    return page;
  }

  const LOOKS: [number, 'light' | 'dark'][] = [
    [360, 'light'],
    [1280, 'light'],
    [360, 'dark'],
    [1280, 'dark'],
  ];
  it.each(LOOKS)('breaks no rule of axe-core at %i px, %s', async (width, scheme) => {
    const page = await open(studio, width, scheme);
    await page.evaluate(AXE);
    const result = (await page.evaluate("axe.run(document, { resultTypes: ['violations'] })")) as {
      passes: unknown[];
      violations: { id: string; nodes: { html: string; failureSummary: string }[] }[];
    };
    const broken = result.violations.map(({ id, nodes }) => [
      id,
      nodes[0]!.html.slice(0, 200),
      nodes[0]!.failureSummary,
    ]);
    await page.close();
    expect(broken).toEqual([]);
    expect(result.passes.length).toBeGreaterThan(20);
  });

  it.each(['studio', 'hostile'] as const)(
    'scrolls down only, at every width from 360 to 1280 px: %s',
    async (shape) => {
      const page = await open(shape === 'studio' ? studio : hostile, 360, 'light');
      const over: number[] = [];
      for (const width of [360, 414, 640, 768, 1024, 1280]) {
        await page.setViewport({ width, height: 900 });
        if ((await page.evaluate('document.documentElement.scrollWidth')) !== width) over.push(width);
      }
      await page.close();
      expect(over).toEqual([]);
    },
  );

  it('shows what a user typed and runs none of it', async () => {
    const page = await open(hostile, 1280, 'light');
    const seen = (await page.evaluate(
      '({ title: document.title, h1: document.querySelector("h1").textContent, bold: document.querySelectorAll("td b, th b").length })',
    )) as { title: string; h1: string; bold: number };
    await page.close();
    const { project } = fixtureResults(SHAPES.hostile);
    expect(seen.h1).toBe(project.title);
    expect(seen.title.startsWith("<script>document.title='run'</script>")).toBe(true);
    expect(seen.bold).toBe(0);
  });

  it('sets every letter of the report in the embedded fonts', async () => {
    const page = await open(studio, 1280, 'light');
    const session = await page.createCDPSession();
    await session.send('DOM.enable');
    await session.send('CSS.enable');
    const { root } = await session.send('DOM.getDocument', { depth: -1 });
    const { nodeIds } = await session.send('DOM.querySelectorAll', {
      nodeId: root.nodeId,
      selector: 'h1, h2, h3, p, dt, dd, li, td, th, caption, figcaption, svg text',
    });
    const families = new Set<string>();
    for (const nodeId of nodeIds) {
      const { fonts } = await session.send('CSS.getPlatformFontsForNode', { nodeId });
      for (const font of fonts) families.add(font.isCustomFont ? 'embedded' : font.familyName);
    }
    await page.close();
    expect(nodeIds.length).toBeGreaterThan(300);
    expect([...families]).toEqual(['embedded']);
  });
});
