import { expect, test } from 'vitest';
import { readResponse } from '../../src/room/read-response.ts';
import { compareStages } from '../../src/statistics/compare-stages.ts';
import {
  airEffectPercent,
  comparisonWarnings,
  type StageConditions,
  temperatureUncertainty,
} from '../../src/statistics/comparison-warnings.ts';
import { simulateResponse } from '../room/simulated-response.ts';
import { pick, reading, readingsOf } from './readings.ts';

const BEFORE: StageConditions = { id: 'before', temperature_c: 20, humidity_percent: 50 };
const AFTER: StageConditions = { id: 'after', temperature_c: 20, humidity_percent: 50 };
test('two stages alike give no warning', () => {
  expect(comparisonWarnings({ before: BEFORE, after: AFTER, readings: readingsOf() })).toEqual([]);
});

test('one response only is warned of', () => {
  const readings = readingsOf({ positions: 1, claps: 1 });
  expect(comparisonWarnings({ before: BEFORE, after: AFTER, readings })).toEqual([
    '"before" rests on one response: how far repeats differ was not seen.',
    '"after" rests on one response: how far repeats differ was not seen.',
  ]);
});

test('another source and another microphone are warned of where both are stated', () => {
  const before = { ...BEFORE, source_kind: 'clap', microphone_pattern: 'omnidirectional' };
  const after = { ...AFTER, source_kind: 'balloon', microphone_pattern: 'cardioid' };
  const warnings = comparisonWarnings({ before, after, readings: readingsOf() });
  expect(warnings[0]).toMatch(/the source changed, from clap in "before" to balloon in "after"/);
  expect(warnings[1]).toMatch(
    /the pattern of the microphone changed, from omnidirectional in "before" to cardioid in "after"/,
  );
  expect(comparisonWarnings({ before, after: AFTER, readings: readingsOf() })).toEqual([]);
});

test('more than 5 degrees between stages is warned of, 5 is not', () => {
  const at = (temperature_c: number) =>
    comparisonWarnings({ before: BEFORE, after: { ...AFTER, temperature_c }, readings: readingsOf() });
  expect(at(25)).toEqual([]);
  expect(at(25.5)[0]).toMatch(/20 C in "before" and 25\.5 C in "after"/);
});

test('stages that share no position are warned of', () => {
  const readings = readingsOf().map((one) => (one.stage === 'after' ? { ...one, position: `${one.position}x` } : one));
  expect(comparisonWarnings({ before: BEFORE, after: AFTER, readings })[0]).toMatch(/share no position/);
});

test('ranges of the full-range time more than 10 dB apart are warned of, band by band; 10 dB are not', () => {
  const at = (stage: string, take: string, ranges_db: readonly [number, number]) => [
    reading({ stage, take: `${take}500` }, { centre_hz: 500, range_db: ranges_db[0], tfull_s: 0.3 }),
    reading({ stage, take: `${take}1000` }, { centre_hz: 1000, range_db: ranges_db[1], tfull_s: 0.3 }),
  ];
  const warned = (after: readonly [number, number]) =>
    comparisonWarnings({
      before: BEFORE,
      after: AFTER,
      readings: [...at('before', '1', [62, 60]), ...at('before', '2', [64, 62]), ...at('after', '1', after)],
    });
  expect(warned([53, 51])).toEqual([]);
  expect(warned([52, 45])).toEqual([
    'The decay stood 62 dB over the noise in "before" and 49 dB in "after" at 500, 1000 Hz: where a decay bends, part of the change in ' +
      'full-range time comes from that; T20 and T30 do not depend on it.',
  ]);
  expect(warned([55, 45])[0]).toContain('61 dB over the noise in "before" and 45 dB in "after" at 1000 Hz');
});

// Two slopes too near one another to be told apart, 0.30 and 0.40 s, are one decay that bends.
test('a decay that bends reads longer over 65 dB than over 40, in full range; T20 stays', () => {
  const mean = (range_db: number, quantity: 'tfull_s' | 't20_s') => {
    const values = Array.from({ length: 12 }, (_, i) => {
      const second = { decay_time_s: 0.4, level_db: -12 };
      const source = simulateResponse({ seed: 1 + i, decay_time_s: 0.3, range_db, rate_hz: 16000, second });
      const { bands } = readResponse(source.samples, { ...source, widths: ['octave'] });
      return bands.find(({ centre_hz }) => centre_hz === 1000)![quantity] ?? [];
    }).flat();
    expect(values.length).toBeGreaterThan(6);
    return values.reduce((sum, value) => sum + value, 0) / values.length;
  };
  expect(mean(65, 'tfull_s') / mean(40, 'tfull_s')).toBeGreaterThan(1.02);
  expect(Math.abs(mean(65, 't20_s') / mean(40, 't20_s') - 1)).toBeLessThan(0.02);
});

test('temperatureUncertainty is the change of 1/c as a rectangle, 0 where nothing is stated', () => {
  // ISO 354:2003, 8.1.2.1: c = 331 + 0.6 t: 343 m/s at 20 C, 346 m/s at 25 C.
  expect(temperatureUncertainty(BEFORE, { ...AFTER, temperature_c: 25 })).toBeCloseTo(
    Math.log(346 / 343) / Math.sqrt(3),
    12,
  );
  expect(temperatureUncertainty(BEFORE, { ...AFTER, temperature_c: null })).toBe(0);
});

test('airEffectPercent: drier air shortens a 4 kHz decay by what 4 m c / 55.26 adds to 1/T', () => {
  // ISO 9613-1 at 4 kHz: 29.419 dB/km at 20 C, 50 %; 22.911 at 20 C, 70 % (computed from its formulas).
  const after = { ...AFTER, humidity_percent: 70 };
  const m = (db_km: number) => db_km / 1000 / (10 * Math.LOG10E);
  const added = (4 * 343 * (m(22.911) - m(29.419))) / (24 * Math.LN10);
  const effect = airEffectPercent(BEFORE, after, { centre_hz: 4000, decay_s: 0.5 });
  expect(effect).toBeCloseTo(100 * (1 / (1 + 0.5 * added) - 1), 2);
  expect(effect).toBeGreaterThan(1.5);
  expect(airEffectPercent(BEFORE, { ...after, humidity_percent: null }, { centre_hz: 4000, decay_s: 0.5 })).toBeNull();
});

test('a change in air is bounded in the changes of times, and warned of where it tells', () => {
  const { changes } = compareStages({
    stages: [BEFORE, { ...AFTER, humidity_percent: 20 }],
    readings: readingsOf(),
    pairs: [['before', 'after']],
  });
  const at = (centre_hz: number) => Math.abs(pick(changes[0]!.values, 'tfull_s', centre_hz).air_percent!);
  expect(at(125)).toBeLessThan(0.1);
  expect(at(4000)).toBeGreaterThan(3);
  expect(changes[0]!.warnings.join()).toMatch(
    /The difference in air alone changes the decay by about -\d\.\d % at 4 kHz; the figures are not corrected/,
  );
});

test('a claimed change that the air alone could account for says so', () => {
  const { changes } = compareStages({
    stages: [BEFORE, { ...AFTER, humidity_percent: 10 }],
    readings: readingsOf({ decay_s: [0.6, 0.5], positions: 6, range_db: 65, overdispersion: 1 }),
    pairs: [['before', 'after']],
  });
  const value = pick(changes[0]!.values, 'tfull_s', 4000);
  expect(value.verdict).toBe('reduced');
  expect(value.air_percent! < value.percent_low! || value.air_percent! > value.percent_high!).toBe(
    !value.reasons.some((reason) => /the difference in air alone, -\d+\.\d %, could account for it/.test(reason)),
  );
});
