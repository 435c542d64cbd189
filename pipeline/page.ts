import { readFile } from 'node:fs/promises';
import { Eta } from 'eta';
import type { Block, ReportDocument } from '../src/report/document.ts';
import { shortText } from '../src/report/short-text.ts';
import { fontFaceRules } from './fonts.ts';
import { cssString, escapeHtml, inlineHtml, pictureSvg } from './html.ts';
import { resource } from './resources.ts';

/** What a page needs besides the document. */
export interface PageAssets {
  /** The logo as it lies on disk; shown as a picture, in which no script runs and nothing is fetched. */
  logo: { mime: 'image/svg+xml' | 'image/png'; bytes: Uint8Array } | null;
  paper: 'a4' | 'letter';
}

/** Paper sizes, with their full height: the style sheet takes its margins off. */
const PAPERS = {
  a4: { size: '210mm 297mm', height: '297mm' },
  letter: { size: '8.5in 11in', height: '11in' },
} as const;

/** A cover with more letters than this no longer fits one page, and flows. */
const COVER_LETTERS = 1800;

/** Tables with up to so many rows are kept on one page; longer ones break between rows, their heads repeated. */
const WHOLE_ROWS = 16;

const TEMPLATES = ['report', 'cover', 'block', 'table', 'figure'] as const;

/**
 * The document as one HTML page that needs nothing but itself: styles, fonts, charts and logo are inside. The page holds no
 * script and its policy allows none; screen and print come from the same markup.
 */
export async function renderPage(document: ReportDocument, assets: PageAssets): Promise<string> {
  const eta = new Eta({ autoEscape: true, escapeFunction: (value) => escapeHtml(String(value)), autoTrim: false });
  for (const name of TEMPLATES) {
    eta.loadTemplate(`@${name}`, await readFile(resource('report', `${name}.eta`), 'utf8'));
  }
  const sheets = await Promise.all(
    ['report.css', 'print.css'].map((name) => readFile(resource('report', name), 'utf8')),
  );
  const data = {
    document,
    inline: inlineHtml,
    picture: pictureSvg,
    flowing: JSON.stringify({ ...document.cover, figure: null }).length > COVER_LETTERS,
    whole: (block: Block) => block.kind === 'table' && block.rows.length <= WHOLE_ROWS,
    logo: assets.logo && dataUrl(assets.logo),
    css: '',
  };
  // Rendered once without the fonts to learn which letters it holds.
  const bare = eta.render('@report', data);
  data.css = [await fontFaceRules(bare), variables(document, assets), ...sheets].join('\n');
  return eta.render('@report', data);
}

/** The rules that depend on the document: its accent, the paper, and the words in the margins of every printed page. */
function variables(document: ReportDocument, assets: PageAssets): string {
  const { accent, footer } = document;
  const reference = shortText(footer.reference, 70);
  const { size, height } = PAPERS[assets.paper];
  return `:root{--accent-light:${accent.light};--accent-dark:${accent.dark};--page-height:${height}}
@page{size:${size};
@bottom-left{content:${cssString(footer.disclaimer)}}
@bottom-center{content:${cssString(reference)}}
@bottom-right{content:${cssString(`${footer.page} `)} counter(page) ${cssString(` ${footer.of} `)} counter(pages)}}`;
}

function dataUrl(picture: { mime: string; bytes: Uint8Array }): string {
  return `data:${picture.mime};base64,${Buffer.from(picture.bytes).toString('base64')}`;
}
