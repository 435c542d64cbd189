import { describe, expect, it } from 'vitest';
import { bandLabel, bandName, tidyLabel, twoLines } from '../../src/charts/label.ts';
import { labelStages } from '../../src/charts/stage-label.ts';

describe('bandLabel and bandName', () => {
  it.each([
    [63, '63', '63 Hz'],
    [500, '500', '500 Hz'],
    [1000, '1k', '1 kHz'],
    [3150, '3.15k', '3.15 kHz'],
    [8000, '8k', '8 kHz'],
  ])('%d Hz is %s on an axis and %s in a sentence', (centre_hz, label, name) => {
    expect(bandLabel(centre_hz)).toBe(label);
    expect(bandName(centre_hz, 'en')).toBe(name);
  });
  it('writes the decimal mark of the language', () => expect(bandName(3150, 'de')).toBe('3,15 kHz'));
});

describe('tidyLabel', () => {
  it('leaves a short title as it is, markup and all', () =>
    expect(tidyLabel('<b>Rug</b> & co')).toBe('<b>Rug</b> & co'));
  it('puts a title of several lines on one', () => expect(tidyLabel(' Rug,\n\n curtains\t ')).toBe('Rug, curtains'));
  it('drops what XML forbids', () => expect(tidyLabel('a\u0000b\ud800c\uffff')).toBe('a b c'));
  it('cuts by letters as a reader counts them, never through one', () => {
    expect(tidyLabel('👩‍🎤'.repeat(70), 5)).toBe(`${'👩‍🎤'.repeat(4)}…`);
  });
  it('stays short however much a single letter carries', () => {
    expect(tidyLabel(`e${'\u0301'.repeat(10_000)}`, 10).length).toBeLessThanOrEqual(81);
  });
});

describe('twoLines', () => {
  it('breaks a long label at the space nearest its middle', () =>
    expect(twoLines('one two three four', 10)).toBe('one two\nthree four'));
  it('leaves a short label and a single long word alone', () => {
    expect(twoLines('one two', 10)).toBe('one two');
    expect(twoLines('w'.repeat(50), 10)).toBe('w'.repeat(50));
  });
});

describe('labelStages', () => {
  const stage = (id: string, title?: string) => ({ id, title, treatments: [] });
  const labels = (...stages: ReturnType<typeof stage>[]) => labelStages(stages, '#000000').map(({ label }) => label);

  it('names a stage by its title, else by its id', () =>
    expect(labels(stage('a', 'Bare'), stage('b'))).toEqual(['Bare', 'b']));
  it('adds the ids where titles are alike, also where one looks like the other with its id', () => {
    expect(labels(stage('a', 'Room'), stage('b', 'Room'), stage('c', 'Room (a)'))).toEqual([
      'Room (a)',
      'Room (b)',
      'Room (a) (c)',
    ]);
  });
  it('never gives two stages one label, however long their titles', () => {
    const long = 'Panels '.repeat(40);
    expect(new Set(labels(stage('a', `${long}1`), stage('b', `${long}2`))).size).toBe(2);
  });
});
