import { expect, test } from 'vitest';
import { compareStages } from '../../src/statistics/compare-stages.ts';
import {
  airEffectPercent,
  comparisonWarnings,
  type StageConditions,
  temperatureUncertainty,
} from '../../src/statistics/comparison-warnings.ts';
import { pick, readingsOf } from './readings.ts';

const BEFORE: StageConditions = { id: 'before', temperature_c: 20, humidity_percent: 50 };
const AFTER: StageConditions = { id: 'after', temperature_c: 20, humidity_percent: 50 };
test('two stages alike give no warning', () => {
  expect(comparisonWarnings({ before: BEFORE, after: AFTER, readings: readingsOf() })).toEqual([]);
});

test('one response only is warned of', () => {
  const readings = readingsOf({ positions: 1, claps: 1 });
  expect(comparisonWarnings({ before: BEFORE, after: AFTER, readings })).toEqual([
    'before rests on one response: how far repeats differ was not seen.',
    'after rests on one response: how far repeats differ was not seen.',
  ]);
});

test('another source and another microphone are warned of where both are stated', () => {
  const before = { ...BEFORE, source_kind: 'clap', microphone_pattern: 'omnidirectional' };
  const after = { ...AFTER, source_kind: 'balloon', microphone_pattern: 'cardioid' };
  const warnings = comparisonWarnings({ before, after, readings: readingsOf() });
  expect(warnings[0]).toMatch(/the source changed, from clap in before to balloon in after/);
  expect(warnings[1]).toMatch(
    /the pattern of the microphone changed, from omnidirectional in before to cardioid in after/,
  );
  expect(comparisonWarnings({ before, after: AFTER, readings: readingsOf() })).toEqual([]);
});

test('more than 5 degrees between stages is warned of, 5 is not', () => {
  const at = (temperature_c: number) =>
    comparisonWarnings({ before: BEFORE, after: { ...AFTER, temperature_c }, readings: readingsOf() });
  expect(at(25)).toEqual([]);
  expect(at(25.5)[0]).toMatch(/20 C in before and 25\.5 C in after/);
});

test('stages that share no position are warned of', () => {
  const readings = readingsOf().map((one) => (one.stage === 'after' ? { ...one, position: `${one.position}x` } : one));
  expect(comparisonWarnings({ before: BEFORE, after: AFTER, readings })[0]).toMatch(/share no position/);
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
