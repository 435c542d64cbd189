import { describe, expect, it } from 'vitest';
import { loadWords } from '../../pipeline/load-words.ts';
import { type FaultFindings, faultMessage } from '../../src/audio/fault-messages.ts';
import type { FaultCode } from '../../src/audio/faults.ts';
import { buildDocument } from '../../src/report/build-document.ts';
import { retold } from '../../src/report/retell.ts';
import { flag, refusal } from '../../src/room/refusal.ts';
import { targetByBand } from '../../src/room/targets.ts';
import { comparisonWarnings } from '../../src/statistics/comparison-warnings.ts';
import { ENGLISH, fixtureTarget } from './build-fixture.ts';
import { documentLines } from './document-text.ts';
import { fixtureFigures, fixtureResults, SHAPES } from './fixture.ts';

const german = await loadWords('de');
const tell = german.tell!;

/** Every fault, worded for some finding. A fault added later fails here until it has an example. */
const FOUND: { [Code in keyof FaultFindings]: FaultFindings[Code][] } = {
  unreadable: [],
  'too-short': [{ after_s: 0.5 }, { seconds: 1.25 }, { cutInto: true }, { background_s: 2 }],
  'no-event': [{}, { wanted: 'switch-off' }],
  silent: [{}],
  clipped: [
    { overshoot_db: 3, below_full_scale_db: 0 },
    { overshoot_db: 3, below_full_scale_db: 4 },
  ],
  'automatic-gain': [{ rise_db: 4, from_s: 0.2, to_s: 0.5 }],
  'noise-gate': [
    { level_db: -30, to_silence: true },
    { level_db: -30, to_silence: false },
  ],
  'events-too-close': (['double-hit', 'next-event', 'other-sound', 'covered'] as const).map((kind) => ({
    kind,
    after_s: 0.3,
  })),
  dropout: [{ at_s: 1.5, seconds: 0.02 }],
  duplicate: [{ other: 'a.wav' }],
  'set-aside': [{ reason: 'the door stood open' }],
  'rate-too-low': [{ rate_hz: 6000 }],
  undescribed: [{ missing: 'sweep' }, { missing: 'level' }],
  'lossy-coding': [
    { cutoff_hz: null, coding: 'MP3' },
    { cutoff_hz: 15800, coding: 'WAV' },
  ],
  'mains-hum': [{ mains_hz: 50, lift_db: 9 }],
  'low-range': [{ range_db: 18 }],
  'no-bass': [
    { source: null, below_hz: 250 },
    { source: 'balloon', below_hz: 125 },
  ],
  'dc-offset': [{ share: 0.021 }],
  'channel-chosen': [{ channel: 1, channels: 2 }],
  'kind-guessed': [{ kind: 'impulse' }],
};

/** Words that German has not. */
const ENGLISH_WORDS = /\b(the|of|and|with|from|under|record|needed|over)\b/;

describe('the German catalogue', () => {
  it('has every message of the English one, and none besides', () => {
    const missing = ENGLISH.keys.filter((key) => key !== 'locale' && !german.has(key));
    const besides = german.keys.filter((key) => !ENGLISH.has(key));
    expect({ missing, besides }).toEqual({ missing: [], besides: [] });
  });

  it('tells every refusal, flag and fault of a recording in German', () => {
    const refusals = [
      refusal.range({ range_db: 20.4, needed_db: 35 }),
      ...Object.entries({ ...refusal, ...flag }).flatMap(([name, say]) =>
        name === 'range' ? [] : [say(4.25 as never)],
      ),
    ];
    const faults = (Object.keys(FOUND) as FaultCode[]).flatMap((code) =>
      FOUND[code].map((found) => faultMessage(code, found as never).message),
    );
    for (const sentence of [...refusals, ...faults]) {
      const told = tell(sentence).replace('the door stood open', '');
      expect(told, sentence).not.toBe(sentence);
      expect(told, sentence).not.toMatch(ENGLISH_WORDS);
    }
    expect(faults.length).toBeGreaterThan(25);
  });

  it('tells targets, and what else differs between two stages', () => {
    const targets = ([20, 80, 5000, null] as const).flatMap((volume) =>
      (['meeting', 'mixing', 'music-practice', 'other'] as const).map((purpose) => targetByBand(purpose, volume)),
    );
    const sentences = targets.flatMap((target) => (target.ok ? [target.note ?? '', target.source] : [target.reason]));
    const stage = (id: string, temperature_c: number, source_kind: string) => ({
      id,
      temperature_c,
      humidity_percent: null,
      source_kind,
    });
    const warnings = comparisonWarnings({
      before: stage('a', 10, 'clap'),
      after: stage('b', 22, 'board'),
      readings: [],
    });
    expect(warnings.length).toBe(2);
    for (const sentence of [...sentences, ...warnings].filter(Boolean)) {
      expect(tell(sentence), sentence).not.toMatch(ENGLISH_WORDS);
    }
  });

  it('tells reasons in a row one by one, with decimal commas, and leaves what it has no words for', () => {
    expect(
      tell('range 41 dB, 45 needed; B·T 3.2, 4 needed: the decay is shorter than the filter can follow; unheard of'),
    ).toBe(
      'Abstand 41 dB, nötig sind 45; B·T 3,2, nötig sind 4: das Abklingen ist kürzer, als das Filter folgen kann; unheard of',
    );
    expect(tell('63 Hz not measurable: range 12 dB, 20 needed')).toBe(
      '63 Hz nicht messbar: Abstand 12 dB, nötig sind 20',
    );
  });

  it('tells what stands out among takes, each part of it', () => {
    expect(
      tell(
        '03.wav disagrees with the others of "bare", position A beyond chance (decay +21 %, C50 -1.4 dB on the mean over the octaves): was a door open, or microphone or source elsewhere? It is kept; record it again, or list it under set_aside in the project file',
      ),
    ).toMatch(
      /^03\.wav stimmt .* von "bare", Messplatz A, überein \(Nachhall \+21 %, C50 -1,4 dB im Mittel über die Oktaven\): /,
    );
    expect(
      tell(
        'from "bare" to "new" the direct sound fell by 6 dB at 4 kHz against the other octaves: another microphone, another source, or the microphone turned; use the same in every stage, or say so in a note of the stage',
      ),
    ).toMatch(/^von "bare" zu "new" fiel um 6 dB der Direktschall bei 4 kHz /);
  });

  it('touches nothing that the user typed', () => {
    const data = {
      project: { note: 'the source' },
      takes: [{ file: 'the source', faults: [{ message: 'the source' }] }],
    };
    expect(retold(data, tell)).toEqual({
      ...data,
      takes: [{ file: 'the source', faults: [{ message: 'die Quelle' }] }],
    });
  });
});

describe('a report in German', () => {
  const results = fixtureResults(SHAPES.studio);
  const input = { results, figures: fixtureFigures(results), target: fixtureTarget(results) };
  const document = buildDocument({ ...input, words: german });
  const english = buildDocument({ ...input, words: ENGLISH });

  it('says the same in the same order', () => {
    expect(document.language).toBe('de-DE');
    expect(document.sections.map(({ id }) => id)).toEqual(english.sections.map(({ id }) => id));
    expect(documentLines(document).length).toBe(documentLines(english).length);
  });

  it('writes numbers and dates its own way, and the same digits', () => {
    expect(document.cover.date).toBe('12. Mai 2026');
    const digits = (value: string) => value.replace(/\D/g, '');
    expect(document.cover.key_figures.map(({ value }) => digits(value))).toEqual(
      english.cover.key_figures.map(({ value }) => digits(value)),
    );
    expect(document.cover.key_figures[0]!.value).toMatch(/^0,\d+ ± 0,\d+\u00a0s$/);
    const points = documentLines(document).filter((line) => /\d\.\d{1,2}(?!\d|\.)\s*(s|dB|m²|m³)/.test(line));
    expect(points).toEqual([]);
  });
});
