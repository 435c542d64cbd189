import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { Eta } from 'eta';
import type { Block, ReportDocument } from '../src/report/document.ts';
import { LEVEL_BOX } from '../src/report/level-path.ts';
import { shortText } from '../src/report/short-text.ts';
import type { EmbeddedClip } from './embed-clips.ts';
import { fontFaceRules } from './fonts.ts';
import { cssString, escapeHtml, inlineHtml } from './html.ts';
import { resource } from './resources.ts';

/** What a page needs besides the document. */
export interface PageAssets {
  /** The logo as it lies on disk; shown as a picture, in which no script runs and nothing is fetched. */
  logo: { mime: 'image/svg+xml' | 'image/png'; bytes: Uint8Array } | null;
  paper: 'a4' | 'letter';
  /** Paper, where left out: the page that is printed. Screen: the same page with its one script and the clips to hear, by file. */
  medium?: 'paper' | 'screen';
  clips?: ReadonlyMap<string, EmbeddedClip>;
  /** The figures by their ids: each a whole `<svg>` element with viewBox and no reference to anything outside itself. */
  drawings?: ReadonlyMap<string, string>;
  /** Photos as JPEG, by their file. */
  photos?: ReadonlyMap<string, Uint8Array>;
}

/** Paper sizes, with their full height: the style sheet takes its margins off. */
const PAPERS = {
  a4: { size: '210mm 297mm', height: '297mm' },
  letter: { size: '8.5in 11in', height: '11in' },
} as const;

/** A cover with more letters than these no longer fits one page, and flows. */
const COVER_LETTERS = { a4: 1900, letter: 1600 } as const;
/** Up to so many times as many, it fits set more closely and with a lower chart. */
const CLOSE_SET = 1.5;

/** Tables with up to so many rows are kept on one page; longer ones break between rows, their heads repeated. */
const WHOLE_ROWS = 16;

const TEMPLATES = ['report', 'cover', 'block', 'table', 'figure', 'player'] as const;

/** Where the styles go, in the head of the page: no text of a document holds it, for HTML allows none of its first letter. */
const STYLES_HERE = '\u0000styles\u0000';

/**
 * The document as one HTML page that needs nothing but itself: styles, fonts, charts, logo and sound are inside. The page for paper
 * holds no script and its policy allows none; that for the screen holds one, which the policy knows by its hash.
 */
export async function renderPage(document: ReportDocument, assets: PageAssets): Promise<string> {
  const eta = new Eta({ autoEscape: true, escapeFunction: (value) => escapeHtml(String(value)), autoTrim: false });
  for (const name of TEMPLATES) {
    eta.loadTemplate(`@${name}`, await readFile(resource('report', `${name}.eta`), 'utf8'));
  }
  const sheets = await Promise.all(
    ['report.css', 'print.css', assets.medium === 'screen' ? 'screen.css' : 'paper.css'].map((name) =>
      readFile(resource('report', name), 'utf8'),
    ),
  );
  const data = {
    document,
    inline: inlineHtml,
    ...(await screenParts(assets)),
    levelBox: LEVEL_BOX,
    drawings: assets.drawings ?? new Map(),
    photos: photoUrls(assets),
    fit: coverFit(document, assets.paper),
    whole: (block: Block) => block.kind === 'table' && block.rows.length <= WHOLE_ROWS,
    logo: assets.logo && dataUrl(assets.logo),
    css: STYLES_HERE,
  };
  // The fonts come last: only the page shows which letters it holds.
  const page = eta.render('@report', data);
  const css = [await fontFaceRules(page), variables(document, assets), ...sheets].join('\n');
  const at = page.indexOf(STYLES_HERE);
  return page.slice(0, at) + css + page.slice(at + STYLES_HERE.length);
}

/** How the cover is set in print: as it is, closely so that it fits its page, or flowing over more than one. */
function coverFit({ cover }: ReportDocument, paper: PageAssets['paper']): '' | 'close' | 'flowing' {
  const letters = JSON.stringify({ ...cover, figure: null }).length / COVER_LETTERS[paper];
  if (letters <= 1) return '';
  return letters <= CLOSE_SET ? 'close' : 'flowing';
}

/** What only the page for the screen has: the script with its hash (Content Security Policy Level 3, 2.3.1), and the clips. */
async function screenParts({ medium, clips = new Map() }: PageAssets) {
  if (medium !== 'screen') return { screen: false, clips };
  const script = await readFile(resource('report', 'page.js'), 'utf8');
  const scriptHash = `sha256-${createHash('sha256').update(script).digest('base64')}`;
  return { screen: true, script, scriptHash, clips };
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

function photoUrls({ photos = new Map() }: PageAssets): Map<string, string> {
  return new Map([...photos].map(([file, bytes]) => [file, dataUrl({ mime: 'image/jpeg', bytes })]));
}

function dataUrl(picture: { mime: string; bytes: Uint8Array }): string {
  return `data:${picture.mime};base64,${Buffer.from(picture.bytes).toString('base64')}`;
}
