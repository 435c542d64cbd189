import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { buildDocument } from '../../src/report/build-document.ts';
import type { Results } from '../../src/report/results.ts';
import type { ChangeValue, Headline, Noticeable, Scope, Verdict } from '../../src/statistics/finding.ts';
import { ENGLISH, fixtureDocument } from './build-fixture.ts';
import { blockLines, coverLines, documentLines, plainText } from './document-text.ts';
import { fixtureResults, SHAPES } from './fixture.ts';

const studio = fixtureDocument(fixtureResults(SHAPES.studio));
const bedroom = fixtureDocument(fixtureResults(SHAPES.bedroom));
const silent = fixtureDocument(fixtureResults(SHAPES.silent));
const planned = { ...fixtureResults(SHAPES.studio), takes: [], stages: [], changes: [] };

describe('buildDocument(input)', () => {
  it('answers on the cover: three stages, two positions', () => {
    expect(coverLines(studio)).toMatchSnapshot();
  });

  it('answers on the cover: one position, no target, hardly a change', () => {
    expect(coverLines(bedroom)).toMatchSnapshot();
  });

  it('answers on the cover: the second stage could not be measured', () => {
    expect(coverLines(silent)).toMatchSnapshot();
  });

  it('tells change by band, comparison by comparison', () => {
    expect(studio.sections.find((section) => section.id === 'change')!.blocks.flatMap(blockLines)).toMatchSnapshot();
  });

  it('says what to record where nothing has been recorded', () => {
    const plan = fixtureDocument(planned);
    expect(plan.cover.kind).toBe('Measurement plan');
    expect(plan.sections.map((section) => section.id)).toEqual(['plan', 'room', 'cautions', 'glossary']);
    expect(plan.sections[0]!.blocks.flatMap(blockLines)).toMatchSnapshot();
  });

  it('has every part a client looks for, in the order a client reads', () => {
    expect(studio.sections.map((section) => section.id)).toEqual([
      'room',
      'decay',
      'change',
      'curves',
      'reflections',
      'clarity',
      'values',
      'takes',
      'method',
      'cautions',
      'glossary',
    ]);
  });

  it('gives the same parts in another order to those who measured for themselves', () => {
    const ids = bedroom.sections.map((section) => section.id);
    expect(ids.slice(0, 3)).toEqual(['change', 'decay', 'takes']);
    expect([...ids].sort()).toEqual(studio.sections.map((section) => section.id).sort());
  });

  it('says on the cover and in the footer that it is indicative, not certified', () => {
    for (const document of [studio, bedroom, silent, fixtureDocument(planned)]) {
      expect(document.cover.disclaimer.title).toBe('Indicative, not certified');
      expect(document.footer.disclaimer).toBe('Indicative, not certified');
    }
  });

  it('states what a single stage measures, and compares nothing', () => {
    const results = fixtureResults(SHAPES.studio);
    const only = { ...results.project, stages: results.project.stages.slice(0, 1) };
    const single = fixtureDocument({
      ...results,
      project: only,
      stages: results.stages.slice(0, 1),
      takes: results.takes.filter((take) => take.stage === 'bare'),
      changes: [],
    });
    expect(plainText(single.cover.answer)).toBe(
      '“Bare room” has a decay time of 0.699 ± 0.034\u00a0s at mid frequencies (500 and 1000\u00a0Hz). There is no second stage to compare it with yet.',
    );
    expect(single.sections.some((section) => section.id === 'change')).toBe(false);
  });

  it('says what else a stage was measured with, and how many more positions would settle what is open', () => {
    const results = fixtureResults(SHAPES.bedroom);
    results.project.stages[1]!.microphone = { description: 'telephone' };
    results.project.stages[1]!.temperature = 27;
    const settled = { question: 'detectable', more_responses_per_position: null, more_positions: 2 } as const;
    const change = results.changes[0]!;
    const values = change.values.map((value) => ({ ...value, to_settle: settled }));
    const document = fixtureDocument({ ...results, changes: [{ ...change, values }] });
    const lines = documentLines(document);
    expect(lines).toContain('Microphone, After: telephone');
    expect(lines).toContain('Air, After: 27\u00a0°C');
    expect(lines).toContain(
      'What next? 2 more positions, recorded in both stages, should settle whether the decay changed.',
    );
  });

  it('names every take that was set aside, with the reason', () => {
    const results = fixtureResults(SHAPES.studio);
    const takes = fixtureDocument(results).sections.find((section) => section.id === 'takes')!;
    const lines = takes.blocks.flatMap(blockLines);
    const aside = results.takes.filter((take) => !take.used);
    expect(aside.length).toBeGreaterThan(0);
    for (const take of aside) {
      expect(lines.some((line) => line.startsWith(take.file) && line.includes(take.faults[0]!.message))).toBe(true);
    }
  });

  it('gives a reason for every value that is missing from the table of values', () => {
    const values = studio.sections.find((section) => section.id === 'values')!;
    const tables = values.blocks.filter((block) => block.kind === 'table');
    const missing = tables
      .flatMap((table) => table.rows.flatMap((row) => row.cells))
      .filter((cell) => cell.tone === 'quiet');
    expect(missing.length).toBeGreaterThan(0);
    expect(missing.filter((cell) => (cell.marks ?? []).length === 0)).toEqual([]);
  });

  it('numbers figures and tables through, in the order they stand', () => {
    const labels = [studio.cover.figure!, ...studio.sections.flatMap((section) => section.blocks)]
      .filter((block) => block.kind === 'figure' || block.kind === 'table')
      .map((block) => block.label);
    const count = (word: string) => labels.filter((label) => label.startsWith(word));
    expect(count('Figure')).toEqual(count('Figure').map((_, index) => `Figure ${index + 1}`));
    expect(count('Table')).toEqual(count('Table').map((_, index) => `Table ${index + 1}`));
  });

  it('leaves out figures it is not given, and every word that speaks of them', () => {
    const results = fixtureResults(SHAPES.studio);
    const target = { ok: false, code: 'no-volume', reason: 'the project does not give the volume' } as const;
    const bare = buildDocument({ results, figures: [], target, words: ENGLISH });
    expect(bare.cover.figure).toBeNull();
    expect(documentLines(bare).filter((line) => /^Figure/.test(line))).toEqual([]);
    expect(documentLines(bare).join('\n')).not.toMatch(/undefined|null|NaN/);
  });

  it('shows what a user typed as it was typed', () => {
    const hostile = fixtureDocument(fixtureResults(SHAPES.hostile));
    const { project } = fixtureResults(SHAPES.hostile);
    expect(hostile.cover.title).toBe(project.title);
    const lines = documentLines(hostile);
    expect(lines.some((line) => line.includes(project.stages[1]!.title!))).toBe(true);
    expect(lines.some((line) => line.includes(project.stages[1]!.treatments[0]!.name))).toBe(true);
  });

  it('copes with twelve stages of forty takes each', () => {
    const large = fixtureDocument(fixtureResults(SHAPES.large));
    const comparisons = large.sections
      .flatMap((section) => section.blocks)
      .find((block) => 'id' in block && block.id === 'comparisons');
    expect(comparisons).toMatchObject({ kind: 'table', rows: { length: 12 } });
  });
});

const percents = fc
  .tuple(fc.double({ min: -90, max: 90, noNaN: true }), fc.double({ min: 0.01, max: 60, noNaN: true }))
  .map(([middle, half]) => ({ percent: middle, percent_low: middle - half, percent_high: middle + half }));
const nothing = fc.constant({ percent: null, percent_low: null, percent_high: null });
const findings = fc.record({
  numbers: fc.oneof({ weight: 5, arbitrary: percents }, { weight: 1, arbitrary: nothing }),
  verdict: fc.constantFrom<Verdict>('reduced', 'increased', 'no-detectable-change', 'not-measurable'),
  noticeable: fc.constantFrom<Noticeable>('yes', 'no', 'unclear'),
  scope: fc.constantFrom<Scope>('room', 'position'),
});
type Finding = typeof findings extends fc.Arbitrary<infer T> ? T : never;

/** Invented results of two stages with their only comparison replaced by a finding, whether or not it makes sense. */
function resultsWith({ numbers, verdict, noticeable, scope }: Finding): Results {
  const results = fixtureResults(SHAPES.bedroom);
  const change = results.changes[0]!;
  const headline: Headline = { ...change.headline, ...numbers, verdict, noticeable, scope, reasons: ['a reason'] };
  const values = change.values.map(
    (value): ChangeValue => ({
      ...value,
      ...numbers,
      low: numbers.percent_low,
      high: numbers.percent_high,
      verdict,
      noticeable,
      scope,
    }),
  );
  return { ...results, changes: [{ ...change, headline, values }] };
}

describe('the words against the numbers', () => {
  it('say that the decay fell or rose only where the verdict and the whole interval say so', () => {
    fc.assert(
      fc.property(findings, (finding) => {
        const { numbers, verdict } = finding;
        const document = fixtureDocument(resultsWith(finding));
        const answer = plainText(document.cover.answer);
        const text = documentLines(document).join('\n');
        const fell = verdict === 'reduced' && numbers.percent_high !== null && numbers.percent_high < 0;
        const rose = verdict === 'increased' && numbers.percent_low !== null && numbers.percent_low > 0;
        expect(/ fell by /.test(answer)).toBe(fell);
        expect(/ rose by /.test(answer)).toBe(rose);
        expect(text.includes('↓ shorter')).toBe(fell);
        expect(text.includes('↑ longer')).toBe(rose);
        expect(text).not.toMatch(/undefined|NaN|null/);
      }),
      { numRuns: 30 },
    );
  });

  it('give the sign and the size that the numbers have, and no minus sign to a fall in words', () => {
    fc.assert(
      fc.property(findings, (finding) => {
        const document = fixtureDocument(resultsWith(finding));
        const { percent, percent_low, percent_high } = finding.numbers;
        const change = document.cover.key_figures.find((key) => plainText(key.label) === 'Change');
        if (percent === null || percent_low === null || percent_high === null || finding.verdict === 'not-measurable') {
          expect(change).toBeUndefined();
          return;
        }
        const read = (text: string) => Number(text.replace('−', '-').replace(/[^\d.+-]/g, ''));
        const half = (percent_high - percent_low) / 2;
        expect(Math.abs(read(change!.value) - percent)).toBeLessThanOrEqual(Math.max(0.5, 0.2 * half));
        const [low, high] = change!.interval!.replace('95\u202f% interval ', '').split(' to ').map(read);
        expect(Math.sign(low!) * Math.sign(percent_low)).not.toBe(-1);
        expect(Math.sign(high!) * Math.sign(percent_high)).not.toBe(-1);
        expect(plainText(document.cover.answer)).not.toContain('by −');
      }),
      { numRuns: 30 },
    );
  });

  it('say what was measured at one position of that position, never of the room', () => {
    fc.assert(
      fc.property(findings, (finding) => {
        const answer = plainText(fixtureDocument(resultsWith(finding)).cover.answer);
        expect(answer.includes('at the measured position')).toBe(finding.scope === 'position');
        expect(answer.includes('the room’s decay time')).toBe(finding.scope === 'room');
      }),
      { numRuns: 30 },
    );
  });

  it('call a change one to be heard only where it was found noticeable', () => {
    fc.assert(
      fc.property(findings, (finding) => {
        const point = fixtureDocument(resultsWith(finding)).cover.points.find((it) =>
          plainText(it.term).startsWith('Would one'),
        );
        if (!point) return;
        expect(plainText(point.detail).startsWith('Yes.')).toBe(finding.noticeable === 'yes');
        expect(plainText(point.detail).startsWith('No.')).toBe(finding.noticeable === 'no');
      }),
      { numRuns: 30 },
    );
  });
});
