import { describe, expect, it } from 'vitest';
import { loadWords } from '../../pipeline/load-words.ts';
import { buildDocument } from '../../src/report/build-document.ts';
import { namingStages } from '../../src/report/name-stages.ts';
import type { Results } from '../../src/report/results.ts';
import { comparisonWarnings } from '../../src/statistics/comparison-warnings.ts';
import { ENGLISH, fixtureTarget } from './build-fixture.ts';
import { documentLines } from './document-text.ts';
import { fixtureFigures, fixtureResults, SHAPES } from './fixture.ts';

const stage = (id: string, temperature_c: number) => ({ id, temperature_c, humidity_percent: null });

/** Results with a sentence on two stages in every place where the analysis puts such. */
function saying(): Results {
  const results = fixtureResults(SHAPES.studio);
  const [first] = results.changes;
  const warnings = comparisonWarnings({ before: stage('bare', 15), after: stage('curtains', 24), readings: [] });
  expect(warnings).toHaveLength(1);
  const reason = '"curtains": 0 of 8 responses give a value, at least half needed';
  const remark = {
    code: 'gain-changed' as const,
    severity: 'note' as const,
    message: 'from "bare" to "panels" the gain was changed',
    files: [],
  };
  const headline = { ...first!.headline, reasons: [reason] };
  return { ...results, changes: [{ ...first!, warnings, headline }], remarks: [remark] };
}

const linesIn = (results: Results, words: typeof ENGLISH) =>
  documentLines(
    buildDocument({ results, figures: fixtureFigures(results), target: fixtureTarget(results), words }),
  ).join('\n');

describe('namingStages', () => {
  it('sets titles in the place of quoted ids, and leaves other words in quotation marks alone', () => {
    const results = saying();
    results.changes[0]!.warnings.push('The gate is called "off", the stage "bare".');
    const { changes, remarks } = namingStages(results, (title) => `“${title}”`);
    expect(changes[0]!.warnings).toEqual([
      'The air was 15 C in “Bare room” and 24 C in “Wool curtains on the window wall”: part of the change, above all at 4 and 8 kHz, is the air.',
      'The gate is called "off", the stage “Bare room”.',
    ]);
    expect(changes[0]!.headline.reasons[0]).toMatch(/^“Wool curtains on the window wall”: 0 of 8 responses/);
    expect(remarks![0]!.message).toBe('from “Bare room” to “Panels on two walls” the gain was changed');
    expect(changes[0]!.from).toBe('bare');
  });

  it('leaves results without remarks without them', () => {
    expect(namingStages(fixtureResults(SHAPES.studio), String)).not.toHaveProperty('remarks');
  });
});

describe('a report', () => {
  it('names stages by their titles wherever it says something of them', () => {
    const text = linesIn(saying(), ENGLISH);
    expect(text).toMatch(/15\s°C in “Bare room” and 24\s°C in “Wool curtains on the window wall”/);
    expect(text).toContain('“Wool curtains on the window wall”: 0 of 8 responses give a value');
    expect(text).not.toMatch(/"(bare|curtains|panels)"/);
  });

  it('does so in another language, with its quotation marks, and tells the reason in it too', async () => {
    const text = linesIn(saying(), await loadWords('de'));
    expect(text).toContain('„Wool curtains on the window wall“: 0 von 8 Impulsantworten geben einen Wert');
    expect(text).toMatch(/in „Bare room“ und 24\s°C in „Wool curtains on the window wall“/);
    expect(text).not.toMatch(/"(bare|curtains|panels)"/);
  });
});
