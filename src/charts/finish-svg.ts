/** What is done to a drawing after vega: made accessible, scalable, self-contained among others on a page, and short. */

/**
 * The drawing with `role="img"` and its title and description, without a fixed size, its ids made unique by the id of the
 * chart, and its coordinates rounded to a hundredth. It is one picture: its parts lose the roles vega gives them, and what a mark
 * says of itself is kept as `data-tip`.
 *
 * @param svg as `View.toSVG` writes it
 * @param chart the id must be unique on the page; title and alt may hold any text
 */
export function finishSvg(svg: string, chart: { id: string; title: string; alt: string }): string {
  return svg.replace(/<[^>]*>/g, (tag) => (tag.startsWith('<svg') ? rootTag(tag, chart) : innerTag(tag, chart.id)));
}

function rootTag(tag: string, chart: { id: string; title: string; alt: string }): string {
  const viewBox = /viewBox="([^"]*)"/.exec(tag)?.[1];
  if (viewBox === undefined) throw new Error(`chart ${chart.id}: the drawing has no viewBox`);
  const names = `${chart.id}-title ${chart.id}-alt`;
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" class="chart" role="img" aria-labelledby="${names}" viewBox="${viewBox}">` +
    `<title id="${chart.id}-title">${escapeText(chart.title)}</title>` +
    `<desc id="${chart.id}-alt">${escapeText(chart.alt)}</desc>`
  );
}

/** Attributes of vega that carry no ink. */
const SILENT =
  / (?:stroke-dasharray="1,0"|class="[^"]*"|stroke-miterlimit="10"|pointer-events="none"|aria-hidden="true"|role="[^"]*"|aria-roledescription="[^"]*")/g;
const LABEL = / aria-label="([^"]*)"/;
const COORDINATES = / (d|transform|x|y|x1|x2|y1|y2|width|height)="([^"]*)"/g;

function innerTag(whole: string, id: string): string {
  const tip = whole.startsWith('<g') ? undefined : LABEL.exec(whole)?.[1];
  const tag = whole.replace(LABEL, '');
  const inked = inkOf(tag, id);
  return tip === undefined ? inked : inked.replace(/(\/?>)$/, (end) => ` data-tip="${tip}"${end}`);
}

function inkOf(tag: string, id: string): string {
  return tag
    .replace(SILENT, '')
    .replace(COORDINATES, (_, name: string, value: string) => ` ${name}="${roundNumbers(value)}"`)
    .replace(/ id="([^"]*)"/g, ` id="${id}-$1"`)
    .replace(/url\(#([^)]*)\)/g, `url(#${id}-$1)`);
}

function roundNumbers(value: string): string {
  return value.replace(/-?\d*\.?\d+(?:e[-+]?\d+)?/gi, (number) => String(Math.round(Number(number) * 100) / 100 + 0));
}

function escapeText(text: string): string {
  return text
    .replace(/(?![\t\n\r])\p{Cc}|\p{Cs}|\ufffe|\uffff/gu, ' ')
    .replace(/&/g, '&amp;')
    .replace(/</g, '&lt;')
    .replace(/>/g, '&gt;');
}
