import { createHash } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import { drawCharts } from '../../pipeline/draw.ts';
import { buildCharts } from '../../src/charts/build-charts.ts';
import type { Chart } from '../../src/charts/chart.ts';
import { inventedInput, TARGET } from '../charts/fixture.ts';

const charts = buildCharts({ ...inventedInput(), target: TARGET, accent: null });
const drawnOnce = drawCharts(charts);
const digest = (text: string) => createHash('sha256').update(text).digest('hex');
const MOST_BYTES = 60_000;

function labelled(text: string): Chart {
  return {
    id: 'probe',
    title: text,
    alt: text,
    spec: {
      width: 300,
      height: 60,
      data: { values: [{ place: text, value: 1 }] },
      mark: 'point',
      encoding: { x: { field: 'value', type: 'quantitative' }, y: { field: 'place', type: 'nominal' } },
    },
  };
}

describe('drawCharts', () => {
  it('draws the same bytes twice in one process, whatever was drawn between', async () => {
    const first = await drawnOnce;
    const again = await drawCharts([...charts].reverse());
    expect(first.length).toBeGreaterThan(10);
    expect(again.reverse().map(({ svg }) => digest(svg))).toEqual(first.map(({ svg }) => digest(svg)));
  });

  it('draws every chart of a three-stage project in under 60 kB, without a number that is none', async () => {
    for (const { chart, svg } of await drawnOnce) {
      expect(Buffer.byteLength(svg), chart.id).toBeLessThan(MOST_BYTES);
      expect(svg, chart.id).not.toMatch(/NaN|undefined|Infinity|\bnull\b/);
    }
  });

  it('strokes no letters, which would come out in a PDF as shapes without a font', async () => {
    for (const { chart, svg } of await drawnOnce) expect(svg, chart.id).not.toMatch(/<text[^>]* stroke="/);
  });

  it('lets every mark of a value say it, and names no part of the picture to a screen reader', async () => {
    const tips = new Map((await drawnOnce).map(({ chart, svg }) => [chart.id, svg.match(/ data-tip="/g)?.length ?? 0]));
    // Two stages in seven octaves, the first of which could not be measured; three stages, one of them refused once more.
    expect(tips.get('cover-change')).toBe(14);
    expect(tips.get('progress')).toBe(3);
    for (const [id, count] of tips) expect(count, id).toBeGreaterThan(0);
    for (const { chart, svg } of await drawnOnce)
      expect(svg.slice(4), chart.id).not.toMatch(/<(?:g|path)[^>]* (?:role|aria-)/);
  });

  it('keeps every chart of a twelve-stage project under 60 kB too', async () => {
    const many = buildCharts({ ...inventedInput({ stages: 12, takes: 3 }), target: TARGET, accent: '#f5c400' });
    for (const { chart, svg } of await drawCharts(many))
      expect(Buffer.byteLength(svg), chart.id).toBeLessThan(MOST_BYTES);
  });

  it('draws no mark for a refused value but its cross, and breaks the line there', async () => {
    const refused = buildCharts({ ...inventedInput({ refused_hz: [1000] }), target: TARGET, accent: null });
    const [{ svg }] = (await drawCharts(refused.filter((chart) => chart.id === 'decay-by-band'))) as unknown as [
      { svg: string },
    ];
    const marks = svg.match(/<path transform="translate/g)!;
    // 3 stages of 8 octaves, of which 1 kHz is refused in all and 125 Hz in one: 20 marks and 4 crosses; 4 symbols in the legend.
    expect(marks).toHaveLength(20 + 4 + 4);
    const lines = [...svg.matchAll(/<path d="(M[^"]*L[^"Z]*)" stroke="#[0-9a-f]{6}" stroke-width="1.4"/g)].map(
      (line) => line[1]!,
    );
    expect(lines.map((line) => line.match(/M/g)!.length)).toEqual([2, 3, 2]);
  });

  it('gives each drawing a role, a title, a description and a viewBox, and no fixed size', async () => {
    for (const { chart, svg } of await drawnOnce) {
      const root = /^<svg [^>]*>/.exec(svg)![0];
      expect(root).toContain('role="img"');
      expect(root).toContain(`aria-labelledby="${chart.id}-title ${chart.id}-alt"`);
      expect(root).toMatch(/viewBox="0 0 \d+(\.\d+)? \d+(\.\d+)?"/);
      expect(root).not.toMatch(/ (width|height)=/);
      expect(svg).toContain(`<title id="${chart.id}-title">`);
      expect(svg).toContain(`<desc id="${chart.id}-alt">`);
    }
  });

  it('keeps ids apart when all drawings stand on one page, and every reference meets its id', async () => {
    const page = (await drawnOnce).map(({ svg }) => svg).join('');
    const ids = [...page.matchAll(/ id="([^"]*)"/g)].map((match) => match[1]!);
    const references = [...page.matchAll(/url\(#([^)]*)\)/g)].map((match) => match[1]!);
    expect(new Set(ids).size).toBe(ids.length);
    expect(references.length).toBeGreaterThan(0);
    for (const reference of references) expect(ids).toContain(reference);
  });

  it.each([
    ['markup', '<script>alert(1)</script>&"\''],
    ['an end of comment or section', ']]> --> </svg>'],
    ['right-to-left text and emoji', 'غرفة التسجيل 🎙️'],
    ['10 000 letters', 'w'.repeat(10_000)],
    ['a path that looks like an attribute', ' d="1.23456" id="x" url(#clip0)'],
  ])('shows %s as typed', async (_, text) => {
    const [drawn] = await drawCharts([labelled(text)]);
    const escaped = text.replace(/&/g, '&amp;').replace(/</g, '&lt;').replace(/>/g, '&gt;');
    expect(drawn!.svg).toContain(`<title id="probe-title">${escaped}</title>`);
    expect(drawn!.svg).not.toContain('<script');
    expect(drawn!.svg.match(/<\/svg>/g)).toHaveLength(1);
    if (text.length < 100) expect(drawn!.svg).toContain(`>${escaped.trim()}</text>`);
  });

  it('leaves out characters that XML forbids', async () => {
    const [drawn] = await drawCharts([{ ...labelled('room'), title: 'a\u0000b\ud800c\ufffed' }]);
    expect(drawn!.svg).toContain('<title id="probe-title">a b c d</title>');
  });

  it('measures text by the embedded font: a row of capital W moves the plot further right than one of i', async () => {
    const left = async (text: string) => {
      const [drawn] = await drawCharts([labelled(text)]);
      return Number(/transform="translate\(([\d.]+),/.exec(drawn!.svg)![1]);
    };
    const [wide, narrow] = [await left('W'.repeat(12)), await left('i'.repeat(12))];
    // Advance widths of Source Sans 3 at weight 400, from its hmtx table: W 786, i 246 of 1000 units; labels are 10 px.
    expect(wide - narrow).toBeCloseTo(12 * 10 * (0.786 - 0.246), -0.5);
  });

  it('throws when a spec does not compile cleanly, and names the chart', async () => {
    const chart = labelled('room');
    const spec = {
      ...chart.spec,
      encoding: { x: { field: 'value', type: 'quantitative', scale: { type: 'ordinal' } } },
    };
    await expect(drawCharts([{ ...chart, spec: spec as Chart['spec'] }])).rejects.toThrow(/^chart probe: /);
  });
});
