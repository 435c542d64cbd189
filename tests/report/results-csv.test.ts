import { csvParse } from 'd3-dsv';
import { expect, test } from 'vitest';
import { resultsCsv } from '../../src/report/results-csv.ts';
import { fixtureResults, SHAPES } from './fixture.ts';

const CELLS = ['=HYPERLINK("http://example.com","x")', '+1', '-1', '@SUM(A1)', '\t=1', 'plain = text'];

test.each(CELLS)('a spreadsheet takes %j for a text, in every column', (text) => {
  const results = fixtureResults(SHAPES.bedroom);
  const project = { ...results.project, reference: text };
  const takes = results.takes.map((take) => ({ ...take, file: text, position: text }));
  const rows = csvParse(resultsCsv({ ...results, project, takes }));
  const expected = text === 'plain = text' ? text : `'${text}`;
  expect(new Set(rows.map((row) => row.project))).toEqual(new Set([expected]));
  expect(
    rows.filter((row) => row.record === 'response').every((row) => row.file === expected && row.position === expected),
  ).toBe(true);
  const cells = rows.flatMap((row) => Object.values(row));
  expect(cells.filter((cell) => /^[=+@\t]|^-(?![\d.])/.test(cell))).toEqual([]);
});

test('a number below zero stays a number', () => {
  const rows = csvParse(resultsCsv(fixtureResults(SHAPES.studio)));
  expect(rows.some((row) => /^-\d/.test(row.value))).toBe(true);
});
