import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Row } from '../../src/report/document.ts';
import type { Results } from '../../src/report/results.ts';
import type { ChangeValue, Noticeable, Verdict } from '../../src/statistics/finding.ts';
import { fixtureDocument } from './build-fixture.ts';
import { plainText } from './document-text.ts';
import { fixtureResults, SHAPES } from './fixture.ts';

const BANDS_HZ = [63, 125, 250, 500, 1000, 2000, 4000, 8000];

/** A finding of one band, whether or not it makes sense. Intervals may end a hair from zero. */
const finding = fc.record({
  middle: fc.double({ min: -80, max: 80, noNaN: true }),
  half: fc.oneof(fc.double({ min: 0.01, max: 60, noNaN: true }), fc.constant(null)),
  hair: fc.option(fc.double({ min: -0.5, max: 0.5, noNaN: true })),
  verdict: fc.constantFrom<Verdict>('reduced', 'increased', 'no-detectable-change', 'not-measurable'),
  noticeable: fc.constantFrom<Noticeable>('yes', 'no', 'unclear'),
});
type Finding = typeof finding extends fc.Arbitrary<infer T> ? T : never;

function numbersOf({ middle, half, hair, verdict }: Finding) {
  if (half === null || verdict === 'not-measurable') return { percent: null, percent_low: null, percent_high: null };
  const centre = hair === null ? middle : middle < 0 ? -half + hair : half + hair;
  return { percent: centre, percent_low: centre - half, percent_high: centre + half };
}

function resultsWith(findings: readonly Finding[]): Results {
  const results = fixtureResults(SHAPES.bedroom);
  const change = results.changes[0]!;
  const values = change.values.map((value): ChangeValue => {
    const found = findings[BANDS_HZ.indexOf(value.centre_hz as number)];
    if (value.quantity !== 'tfull_s' || found === undefined) return value;
    const numbers = numbersOf(found);
    const share = (percent: number | null) => (percent === null ? null : percent / 300);
    return {
      ...value,
      ...numbers,
      difference: share(numbers.percent),
      low: share(numbers.percent_low),
      high: share(numbers.percent_high),
      verdict: found.verdict,
      noticeable: found.noticeable,
      reasons: [],
    };
  });
  return { ...results, changes: [{ ...change, values }] };
}

function bandRows(results: Results): Row[] {
  const blocks = fixtureDocument(results).sections.flatMap((section) => section.blocks);
  const table = blocks.find((block) => block.kind === 'table' && block.id.startsWith('change-table--'));
  if (table?.kind !== 'table') throw new Error('no table of changes');
  return table.rows;
}

const read = (text: string) => Number(text.replace('−', '-').replace(/[^\d.+-]/g, ''));

describe('each band of a comparison, in words and in print', () => {
  it('is called shorter or longer only where verdict and whole interval say so, and the printed interval does not deny it', () => {
    fc.assert(
      fc.property(fc.array(finding, { minLength: 8, maxLength: 8 }), (findings) => {
        const rows = bandRows(resultsWith(findings));
        for (const row of rows) {
          const i = BANDS_HZ.indexOf(Number(plainText(row.head)));
          const found = findings[i]!;
          const { percent_low: low, percent_high: high } = numbersOf(found);
          const [interval, verdict, heard] = row.cells.slice(-3).map((cell) => plainText(cell.text)) as [
            string,
            string,
            string,
          ];
          const shorter = found.verdict === 'reduced' && high !== null && high < 0;
          const longer = found.verdict === 'increased' && low !== null && low > 0;
          // Without a full-range value the row falls back on T30 or T20, which have findings of their own.
          if (low === null || found.verdict === 'not-measurable') continue;
          expect(verdict.includes('shorter')).toBe(shorter);
          expect(verdict.includes('longer')).toBe(longer);
          if (heard === 'yes') expect(found.noticeable).toBe('yes');
          const [printed_low, printed_high] = interval.split(' to ').map(read) as [number, number];
          if (shorter) expect(printed_high).toBeLessThanOrEqual(0);
          if (longer) expect(printed_low).toBeGreaterThanOrEqual(0);
          expect(printed_low).toBeLessThanOrEqual(printed_high);
        }
      }),
      { numRuns: 40 },
    );
  });
});
