import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { openBands, openGroups } from '../../src/report/open-bands.ts';
import { planPowers } from '../../src/report/plan-power.ts';
import type { Results } from '../../src/report/results.ts';
import { countedClaims, USUAL_PRACTICE_CLAIMS } from '../../src/statistics/counted-claims.ts';
import type { ChangeValue, Contribution, Settling } from '../../src/statistics/finding.ts';
import { MOST_MORE } from '../../src/statistics/settle.ts';
import { fixtureDocument } from './build-fixture.ts';
import { blockLines, documentLines, plainText } from './document-text.ts';
import { fixtureResults, SHAPES } from './fixture.ts';

const BANDS_HZ = [125, 250, 500, 1000, 2000, 4000];

const more = fc.option(fc.integer({ min: 1, max: MOST_MORE }));
const settlings = fc.option(
  fc.record<Settling>({
    question: fc.constantFrom('detectable', 'noticeable'),
    more_responses_per_position: more,
    more_positions: more,
  }),
);

/** Invented results with the full-range change of each octave open in the way asked for. */
function resultsWith(settle: readonly (Settling | null)[]): Results {
  const results = fixtureResults(SHAPES.bedroom);
  const change = results.changes[0]!;
  const values = change.values.map((value): ChangeValue => {
    const i = BANDS_HZ.indexOf(value.centre_hz as number);
    if (value.quantity !== 'tfull_s' || value.width !== 'octave' || i < 0) return { ...value, to_settle: null };
    const open = settle[i]!;
    const verdict = open?.question === 'detectable' ? 'no-detectable-change' : 'reduced';
    const [low, high] = open?.question === 'detectable' ? [-9, 2] : [-12, -1];
    return {
      ...value,
      difference: -0.01,
      low: low / 300,
      high: high / 300,
      percent: (low + high) / 2,
      percent_low: low,
      percent_high: high,
      verdict,
      noticeable: 'unclear',
      to_settle: open,
    };
  });
  return { ...results, changes: [{ ...change, values }] };
}

function tableOf(results: Results, id: string) {
  const blocks = fixtureDocument(results).sections.flatMap((section) => section.blocks);
  return blocks.find((block) => block.kind === 'table' && block.id === id);
}

describe('what would settle an open band', () => {
  it('is said of every open band and of no other, with the numbers found, and as a forecast', () => {
    fc.assert(
      fc.property(fc.tuple(settlings, settlings, settlings, settlings, settlings, settlings), (settle) => {
        const results = resultsWith(settle);
        const table = tableOf(results, 'settle-table');
        const groups = openGroups(openBands(results.changes[0]!));
        expect(groups.flatMap(({ bands_hz }) => bands_hz).sort((a, b) => a - b)).toEqual(
          BANDS_HZ.filter((_, i) => settle[i] !== null),
        );
        if (groups.length === 0) {
          expect(table).toBeUndefined();
          return;
        }
        if (table?.kind !== 'table') throw new Error('no table');
        expect(table.rows.length).toBe(groups.length);
        table.rows.forEach((row, i) => {
          const [open, positions, responses] = row.cells.map((cell) => plainText(cell.text));
          const group = groups[i]!;
          expect(open).toBe(
            group.settle.question === 'detectable' ? 'whether the decay changed' : 'whether one would hear the change',
          );
          const told = (count: number | null) => (count === null ? `over ${MOST_MORE}` : String(count));
          expect([positions, responses]).toEqual([
            told(group.settle.more_positions),
            told(group.settle.more_responses_per_position),
          ]);
        });
        expect(documentLines(fixtureDocument(results)).join('\n')).toContain('It is a forecast');
      }),
      { numRuns: 25 },
    );
  });
});

describe('the plan before any take', () => {
  const planned = { ...fixtureResults(SHAPES.studio), takes: [], stages: [], changes: [] };

  it('says of each plan the change it finds, and claims none found', () => {
    const table = tableOf(planned, 'power-table');
    if (table?.kind !== 'table') throw new Error('no table');
    const plans = planPowers(planned.project);
    expect(table.rows.map((row) => row.cells.map((cell) => Number(plainText(cell.text))))).toEqual(
      plans.map((plan) => plan.bands.map((band) => Math.round(band.detectable_percent))),
    );
    const text = documentLines(fixtureDocument(planned)).join('\n');
    expect(text).not.toMatch(/shorter|longer|fell by|rose by/);
    expect(text).toContain('It is a forecast from theory');
  });

  it('marks the one plan that the purpose of the room asks for', () => {
    for (const purpose of ['mixing', 'meeting', 'other'] as const) {
      expect(planPowers({ purpose }).filter((plan) => plan.wanted)).toHaveLength(1);
    }
  });

  it('finds smaller changes with more positions, in every band', () => {
    const plans = planPowers({ purpose: 'mixing' });
    for (const [i, plan] of plans.entries()) {
      for (const [b, band] of plan.bands.entries()) {
        if (i > 0) expect(band.detectable_percent).toBeLessThan(plans[i - 1]!.bands[b]!.detectable_percent);
      }
    }
  });
});

describe('the usual practice', () => {
  it('stands beside what the plan of the project claims by mistake, with the counts of the bench', () => {
    const results = fixtureResults(SHAPES.studio);
    const table = tableOf(results, 'usual-practice');
    if (table?.kind !== 'table') throw new Error('no table');
    const [usual, own] = table.rows.map((row) => row.cells.map((cell) => Number(plainText(cell.text))));
    expect(usual).toEqual(USUAL_PRACTICE_CLAIMS.map(({ claims_percent }) => claims_percent));
    expect(own).toEqual([...countedClaims({ positions: 2, responses_per_position: 4 }).claims_percent]);
    const text = documentLines(fixtureDocument(results)).join('\n');
    expect(text).toContain('2 positions with 4 responses or more at each');
  });
});

describe('the uncertainty budgets', () => {
  const lines = fc.array(
    fc.record<Contribution>({
      source: fc.constantFrom('bound', 'positions', 'repeatability', 'range', 'fit', 'temperature'),
      standard_uncertainty: fc.double({ min: 0.001, max: 0.3, noNaN: true }),
      dof: fc.option(fc.double({ min: 1, max: 200, noNaN: true })),
    }),
    { minLength: 1, maxLength: 6 },
  );

  it('add up in print: the squares of the parts to that of the whole, and the whole times its factor to what is expanded', () => {
    fc.assert(
      fc.property(lines, (drawn) => {
        const budget = [...new Map(drawn.map((line) => [line.source, line])).values()];
        const standard_uncertainty = Math.hypot(...budget.map((line) => line.standard_uncertainty));
        const results = fixtureResults(SHAPES.bedroom);
        const change = results.changes[0]!;
        const values = change.values.map((value) => ({
          ...value,
          budget,
          standard_uncertainty,
          coverage_factor: 2.2,
          dof: 12,
        }));
        const table = tableOf({ ...results, changes: [{ ...change, values }] }, 'budget--change');
        if (table?.kind !== 'table') throw new Error('no table');
        for (const row of table.rows) {
          const cells = row.cells.map((cell) => Number(plainText(cell.text).replace('–', '0').replaceAll(',', '')));
          const parts = cells.slice(0, -4);
          const [combined, dof, factor, expanded] = cells.slice(-4) as [number, number, number, number];
          // Each figure is rounded to a tenth of a per cent.
          expect(Math.abs(Math.hypot(...parts) - combined)).toBeLessThan(0.05 * (1 + Math.sqrt(parts.length)) + 1e-9);
          expect(Math.abs(combined * factor - expanded)).toBeLessThan(0.05 * (1 + factor) + 1e-9);
          expect(dof).toBe(12);
        }
      }),
      { numRuns: 25 },
    );
  });

  it('are given for both stages and the change, in every octave that has one', () => {
    const results = fixtureResults(SHAPES.studio);
    const budget: Contribution[] = [{ source: 'bound', standard_uncertainty: 0.03, dof: null }];
    const known = { budget, standard_uncertainty: 0.03, coverage_factor: 1.96, dof: null };
    for (const change of results.changes) change.values = change.values.map((value) => ({ ...value, ...known }));
    const method = fixtureDocument(results).sections.find((section) => section.id === 'method')!;
    const ids = method.blocks.flatMap((block) => (block.kind === 'table' ? [block.id] : []));
    expect(ids.filter((id) => id.startsWith('budget--'))).toEqual(['budget--bare', 'budget--panels', 'budget--change']);
    expect(method.blocks.flatMap(blockLines).join('\n')).not.toMatch(/NaN|undefined/);
  });
});
