import { describe, expect, it } from 'vitest';
import { buildCharts } from '../../src/charts/build-charts.ts';
import { inventedInput, TARGET } from './fixture.ts';

const charts = buildCharts({ ...inventedInput({ takes: 1 }), target: TARGET, accent: null }).filter(
  (chart) => !/--s1--s2|--s2--s3/.test(chart.id),
); // One comparison stands for all.
const ROWS_SHOWN = 2;

/** A spec with its rows cut to the first few, its numbers rounded, and the theme, which all share, left out. */
function abridged(spec: object): unknown {
  return JSON.parse(JSON.stringify(spec), (key, value) => {
    if (key === 'config') return '(theme)';
    if (key === 'values' && Array.isArray(value) && value.length > ROWS_SHOWN && typeof value[0] === 'object') {
      return [...value.slice(0, ROWS_SHOWN), `(${value.length} rows)`];
    }
    return typeof value === 'number' ? Number(value.toPrecision(4)) : value;
  });
}

/** JSON with everything on one line that fits one. */
function compact(value: unknown, indent = ''): string {
  const line = JSON.stringify(value);
  if (line.length + indent.length <= 120 || typeof value !== 'object' || value === null) return line;
  const inner = `${indent} `;
  const parts = Array.isArray(value)
    ? value.map((part) => inner + compact(part, inner))
    : Object.entries(value).map(([key, part]) => `${inner}${JSON.stringify(key)}: ${compact(part, inner)}`);
  const [open, close] = Array.isArray(value) ? '[]' : '{}';
  return `${open}\n${parts.join(',\n')}\n${indent}${close}`;
}

describe('the specs and what they say in words stand as they were last looked at', () => {
  it.each(charts.map((chart) => [chart.id, chart] as const))('%s', async (id, chart) => {
    const { title, alt, spec } = chart;
    const text = `${title}\n\n${alt}\n\n${compact(abridged(spec))}\n`;
    await expect(text).toMatchFileSnapshot(`__snapshots__/${id}.txt`);
  });
});

it('the theme stands as it was last looked at', async () => {
  const text = `${compact(JSON.parse(JSON.stringify(charts[0]!.spec.config)))}\n`;
  await expect(text).toMatchFileSnapshot('__snapshots__/theme.txt');
});
