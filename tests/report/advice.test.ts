import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { buildDocument } from '../../src/report/build-document.ts';
import { advicePoint } from '../../src/report/next-point.ts';
import { adviceSection } from '../../src/report/sections/advice.ts';
import { bassSection } from '../../src/report/sections/bass.ts';
import { decaySection } from '../../src/report/sections/decay.ts';
import { effectSection } from '../../src/report/sections/effect.ts';
import { MATERIALS, makeInput, makeProject, OCTAVES_HZ } from '../advice/fixture.ts';
import { advisedContext, advisedResults, tableOf } from './advice-fixture.ts';
import { ENGLISH } from './build-fixture.ts';
import { blockLines, coverLines, documentLines, plainText } from './document-text.ts';

const BARE = [0.7, 0.65, 0.6, 0.6, 0.55, 0.5];
const BETTER = [0.65, 0.45, 0.4, 0.38, 0.36, 0.34];
const WOOL = { 125: 0.2, 250: 0.6, 500: 0.95, 1000: 0.95, 2000: 0.95, 4000: 0.9 };
const panel = (name: string, area: number, cost: number) => ({ name, area, cost, thickness: 50, absorption: WOOL });
/** Lines of a section, with spaces that do not break as plain ones. */
const lines = (section: ReturnType<typeof adviceSection>) =>
  (section ? section.blocks.flatMap(blockLines) : []).map((line) => line.replace(/[\u00a0\u202f]/g, ' '));

describe('the section on what next', () => {
  test('says how far the room is, ranks the options, and combines them within money and area', () => {
    const project = {
      options: [panel('dear panel', 6, 900), panel('cheap panel', 6, 200), panel('small panel', 3, 120)],
      currency: 'EUR',
      budget: 400,
      free_area: 10,
    };
    const section = adviceSection(advisedContext(makeInput(BARE, BETTER, { project })));
    const said = lines(section).join('\n');
    expect(said).toContain('After “treated”, the decay is longer than the target range at 250 to 4000 Hz');
    const options = tableOf(section, 'option-table')!;
    expect(options.rows.map(({ head }) => plainText(head))).toEqual(['cheap panel', 'small panel', 'dear panel']);
    expect(plainText(options.rows[2]!.cells.at(-1)!.text)).toBe('dearer than the budget');
    expect(said).toContain('keeps within a budget of EUR');
    const set = tableOf(section, 'combination-table')!;
    expect(plainText(set.rows[0]!.cells[0]!.text)).toBe('cheap panel and small panel');
    expect(said).toContain('Before anyone buys, fixes, cuts or climbs');
    expect(said).toContain('Fire: use linings with a stated class');
  });

  test('offers generic absorbers where no option is listed, and says what depth it takes', () => {
    const section = adviceSection(advisedContext(makeInput(BARE, BETTER)));
    expect(tableOf(section, 'generic-table')!.rows.length).toBeGreaterThan(2);
    expect(tableOf(section, 'depth-table')!.rows.map(({ head }) => plainText(head))).toEqual([
      '250',
      '500',
      '1000',
      '2000',
      '4000',
    ]);
  });

  test('holds the room against what its users ask, and says that it is no published figure', () => {
    const project = { target: { time: 0.4, tolerance: 0.1 }, room: { length: 3, width: 2.5, height: 2.3 } };
    const context = advisedContext(makeInput(BARE, BETTER, { project }));
    expect(lines(adviceSection(context)).join('\n')).toContain('the decay is within the target range');
    expect(lines(decaySection(context)).join('\n')).toContain('It is no published figure.');
  });

  test('says when the room has been changed since the stage it speaks of', () => {
    const unread = [null, null, null, null, null, null];
    const input = makeInput(BETTER, unread);
    const context = advisedContext(input);
    const take = { ...context.results.takes[0]!, stage: 'treated', used: false };
    const results = { ...context.results, takes: [...context.results.takes, take] };
    const warning = 'A later stage was recorded and could not be read: measure it before acting on this.';
    expect(lines(adviceSection({ ...context, results })).join('\n')).toContain(warning);
    expect(lines(adviceSection(context)).join('\n')).not.toContain(warning);
  });

  test('tells what options would do before anything is recorded, and tells no one to buy them', () => {
    const project = makeProject({
      room: {
        length: 5.2,
        width: 3.6,
        height: 2.6,
        surfaces: [
          { name: 'walls and ceiling', area: 64.5, material: 'gypsum-on-studs' },
          { name: 'floor', area: 18.7, material: 'parquet-on-concrete' },
        ],
      },
      options: [panel('panel', 6, 200)],
    });
    const results = advisedResults({ project, stages: [], changes: [], materials: MATERIALS });
    const document = buildDocument({ results, figures: [], target: results.advice!.target, words: ENGLISH });
    expect(document.sections.map(({ id }) => id)).toEqual(['plan', 'advice', 'room', 'cautions', 'glossary']);
    const advice = document.sections[1]!;
    expect(lines(advice).join('\n')).toContain('Measure the room as it is before anything is bought.');
    expect(tableOf(advice, 'bare-table')!.rows).toHaveLength(OCTAVES_HZ.length);
    expect(tableOf(advice, 'option-times')!.rows).toHaveLength(OCTAVES_HZ.length);
    expect(plainText(tableOf(advice, 'option-table')!.rows[0]!.cells.at(-1)!.text)).toBe('measure first, then judge');
  });
});

describe('the section on what the treatment did', () => {
  const treated = (absorption: Record<string, number>) => ({
    stages: [
      { id: 'bare' },
      { id: 'treated', treatments: [{ name: 'thin felt', area: 8, thickness: 10, cost: 300, absorption }] },
    ],
    currency: 'EUR',
  });

  test('sets what was gained beside what the data promise, and names a product that gave less with likely reasons', () => {
    const promised = { 250: 0.9, 500: 0.95, 1000: 0.95, 2000: 0.95, 4000: 0.95 };
    const after = [0.7, 0.64, 0.58, 0.57, 0.5, 0.44];
    const section = effectSection(advisedContext(makeInput(BARE, after, { project: treated(promised) })));
    const said = lines(section).join('\n');
    expect(said).toContain('Less than promised: thin felt');
    expect(said).toContain('Thin for the wavelength');
    expect(plainText(tableOf(section, 'effect-table')!.rows[2]!.cells.at(-1)!.text)).toBe('less');
  });

  test('gives the cost of a square metre gained only where a gain is shown', () => {
    const data = { 250: 0.3, 500: 0.5, 1000: 0.6, 2000: 0.7, 4000: 0.7 };
    const cost = (after: number[]) => {
      const section = effectSection(advisedContext(makeInput(BARE, after, { project: treated(data) })));
      return plainText(tableOf(section, 'effect-summary')!.rows[0]!.cells.at(-1)!.text);
    };
    expect(cost([0.7, 0.55, 0.48, 0.46, 0.42, 0.4])).toMatch(/^EUR\s\d+ \(\d+ to \d+\)$/);
    expect(cost(BARE)).toBe('–');
  });
});

describe('the section on low frequencies', () => {
  test('names the Schroeder frequency, the octaves beyond one number, and those that have none', () => {
    const section = bassSection(advisedContext(makeInput(BARE, [null, 0.5, 0.5, 0.5, 0.45, 0.4])));
    const said = lines(section).join('\n');
    // 2000 sqrt(0.5 / 48.672) = 203 Hz: Schroeder, J. Acoust. Soc. Am. 99 (1996) 3240.
    expect(said).toContain('203 Hz. Above it resonances overlap');
    expect(said).toContain('At 63 to 250 Hz the decay cannot be treated as one number');
    expect(said).toContain('there is no decay time at 63 and 125 Hz');
  });
});

describe('whatever was measured', () => {
  const time = fc.oneof(fc.constant(null), fc.double({ min: 0.06, max: 1.5, noNaN: true }));
  const even = fc
    .tuple(
      fc.double({ min: 0.1, max: 0.9, noNaN: true }),
      fc.array(fc.double({ min: 0.9, max: 1.1, noNaN: true }), { minLength: 6, maxLength: 6 }),
    )
    .map(([base, shape]): (number | null)[] => shape.map((factor) => base * factor));
  const times = fc.oneof(even, fc.array(time, { minLength: 6, maxLength: 6 }));
  const option = fc.record({
    name: fc.constant('panel'),
    area: fc.double({ min: 0.5, max: 20, noNaN: true }),
    cost: fc.double({ min: 0, max: 900, noNaN: true }),
    absorption: fc
      .double({ min: 0.02, max: 1.2, noNaN: true })
      .map((value) => Object.fromEntries(OCTAVES_HZ.map((hz) => [hz, value]))),
  });
  const drawn = fc
    .record({
      before_s: times,
      after_s: times,
      options: fc.array(option, { maxLength: 4 }),
      purpose: fc.constantFrom('speech-recording', 'classroom', 'other'),
      relative: fc.constantFrom(0.005, 0.02, 0.1),
      target: fc.option(
        fc.record({
          time: fc.double({ min: 0.15, max: 0.8, noNaN: true }),
          tolerance: fc.double({ min: 0.02, max: 0.14, noNaN: true }),
        }),
        { nil: undefined },
      ),
    })
    .map(({ before_s, after_s, relative, ...project }) => {
      const input = makeInput(before_s, after_s, { project, relative });
      return { input, context: advisedContext(input), advice: advisedResults(input).advice! };
    });
  const check = (property: (of: typeof drawn extends fc.Arbitrary<infer T> ? T : never) => void) =>
    fc.assert(fc.property(drawn, property), { numRuns: 120, seed: 7 });

  test('where the target is met, nothing is recommended in any words, on the cover or inside', () => {
    let met = 0;
    check(({ context, advice }) => {
      if (advice.status !== 'met') return;
      met++;
      const said = lines(adviceSection(context)).join('\n');
      expect(said).toContain('Nothing needs to be added.');
      expect(said).not.toMatch(/brings the room nearer|is missing|absorb there|What a thin layer/);
      expect(tableOf(adviceSection(context), 'generic-table')).toBeNull();
      expect(tableOf(adviceSection(context), 'combination-table')).toBeNull();
      expect(plainText(advicePoint(context, advice)!)).toMatch(/Nothing more is needed/);
    });
    expect(met).toBeGreaterThan(3);
  });

  test('an option is said to bring the room nearer only where some octave is wholly above its range', () => {
    let recommended = 0;
    check(({ context, advice }) => {
      const rows = tableOf(adviceSection(context), 'option-table')?.rows ?? [];
      const helps = rows.filter(({ cells }) => /brings the room nearer/.test(plainText(cells.at(-1)!.text)));
      recommended += helps.length;
      if (helps.length === 0) return;
      expect(advice.distance.some(({ now_low_s, high_s }) => now_low_s > high_s)).toBe(true);
    });
    expect(recommended).toBeGreaterThan(5);
  });

  test('each octave stands in this section as it stands in the table of decay times', () => {
    let compared = 0;
    check(({ context, advice }) => {
      // Where the last stage could not be read, this section speaks of the one before, and says so.
      if (advice.stage !== 'treated') return;
      compared++;
      const here = tableOf(adviceSection(context), 'distance-table')?.rows ?? [];
      const there = tableOf(decaySection(context), 'decay-table')?.rows ?? [];
      for (const row of here) {
        const band = plainText(row.head);
        const other = there.find(({ head }) => plainText(head) === band)!;
        expect([band, plainText(row.cells.at(-1)!.text)]).toEqual([band, plainText(other.cells.at(-1)!.text)]);
      }
    });
    expect(compared).toBeGreaterThan(50);
  });

  test('a gain is set as one only where the verdict on the decay is a change', () => {
    check(({ context, input }) => {
      const rows = tableOf(effectSection(context), 'effect-table')?.rows ?? [];
      for (const { head, cells } of rows) {
        const verdict = input.changes[0]!.values.find(
          ({ centre_hz }) => String(centre_hz) === plainText(head),
        )!.verdict;
        if (cells[0]!.tone === 'number') expect(['reduced', 'increased']).toContain(verdict);
        const gain = Number.parseFloat(plainText(cells[0]!.text).replace('−', '-'));
        if (cells[0]!.tone === 'number' && Math.abs(gain) > 0.02)
          expect(Math.sign(gain)).toBe(verdict === 'reduced' ? 1 : -1);
      }
    });
  });

  test('cautions stand beside every table of things to add', () => {
    check(({ context }) => {
      const section = adviceSection(context);
      const things = tableOf(section, 'option-table') ?? tableOf(section, 'generic-table');
      const caution = section!.blocks.some((block) => block.kind === 'note' && block.tone === 'caution');
      if (things) expect(caution).toBe(true);
    });
  });

  test('the whole report is words and numbers: nothing undefined, no placeholder left', () => {
    check(({ context }) => {
      const document = buildDocument(context);
      const said = [...documentLines(document), ...coverLines(document)].join('\n');
      expect(said).not.toMatch(/undefined|NaN|Infinity|null|[{}]/);
    });
  });
});
