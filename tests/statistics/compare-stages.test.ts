import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { TwoSlopes } from '../../src/room/reading.ts';
import { combinedUncertainty, effectiveDof } from '../../src/statistics/combine-uncertainty.ts';
import { compareStages, joinedComparison, type ReadingAt } from '../../src/statistics/compare-stages.ts';
import { settling } from '../../src/statistics/settle.ts';
import { coverageFactor } from '../../src/statistics/student-t.ts';
import type { Scene } from '../bench/coverage-drawn.ts';
import { compared, pick, reading, readingsOf } from './readings.ts';

const anyScene = fc.record({
  positions: fc.integer({ min: 1, max: 3 }),
  claps: fc.integer({ min: 1, max: 3 }),
  range_db: fc.integer({ min: 25, max: 70 }),
  overdispersion: fc.double({ min: 1, max: 1.5, noNaN: true }),
  correlation: fc.double({ min: 0, max: 0.8, noNaN: true }),
  decay_s: fc.tuple(fc.constant(0.3), fc.double({ min: 0.2, max: 0.4, noNaN: true })),
  bands_hz: fc.constant([500, 1000]),
}) satisfies fc.Arbitrary<Partial<Scene>>;

test('a stage value is the mean over positions of the position means', () => {
  const times = { A: [0.3, 0.32], B: [0.4] };
  const readings = Object.entries(times).flatMap(([position, values]) =>
    values.map((t20_s, i) => reading({ position, take: `${position}${i}` }, { centre_hz: 500, t20_s })),
  );
  const value = pick(compared(readings).before.values, 't20_s', 500);
  expect(value.value).toBeCloseTo(0.355, 12);
  expect([value.responses, value.positions, value.scope]).toEqual([3, 2, 'room']);
});

test('mid is the mean of 500 and 1000 Hz and surer than either', () => {
  const { before, change } = compared(readingsOf());
  const [low, high, mid] = ([500, 1000, 'mid'] as const).map((centre) => pick(before.values, 'tfull_s', centre));
  expect(mid!.value).toBeCloseTo((low!.value! + high!.value!) / 2, 12);
  expect(mid!.standard_uncertainty).toBeCloseTo(
    Math.hypot(low!.standard_uncertainty!, high!.standard_uncertainty!) / 2,
    12,
  );
  expect(pick(change.values, 'tfull_s', 'mid').difference).toBeCloseTo(
    (pick(change.values, 'tfull_s', 500).difference! + pick(change.values, 'tfull_s', 1000).difference!) / 2,
    12,
  );
});

test('octaves and third octaves, compared apart and joined, are what they are together', () => {
  const thirds = readingsOf({ bands_hz: [400, 500, 630] }, 2).map(({ bands }) =>
    bands.map((band) => ({ ...band, width: 'third-octave' as const })),
  );
  const readings = readingsOf().map((one, i) => ({ ...one, bands: [...one.bands, ...thirds[i]!] }));
  const stages = ['before', 'after'].map((id) => ({ id, temperature_c: null, humidity_percent: null }));
  const input = { stages, readings, pairs: [['before', 'after']] as const };
  const together = compareStages(input);
  const [octaves, third] = (['octave', 'third-octave'] as const).map((width) =>
    compareStages({ ...input, widths: [width] }),
  );
  expect(new Set(together.changes[0]!.values.map(({ width }) => width)).size).toBe(2);
  expect(joinedComparison(octaves!, third!)).toEqual(together);
});

test('some quantities, compared alone, come out as among all', () => {
  const readings = readingsOf();
  const stages = ['before', 'after'].map((id) => ({ id, temperature_c: null, humidity_percent: null }));
  const input = { stages, readings, pairs: [['before', 'after']] as const };
  const some = ['tfull_s', 't30_s', 't20_s'] as const;
  const [all, alone] = [compareStages(input), compareStages({ ...input, quantities: some })];
  const wanted = <Value extends { quantity: string }>(values: readonly Value[]) =>
    values.filter(({ quantity }) => some.some((one) => one === quantity));
  expect(alone.changes[0]!.values.length).toBe(3 * 7);
  expect(alone.changes[0]!.values).toEqual(wanted(all.changes[0]!.values));
  expect(alone.stages.map(({ values }) => values)).toEqual(all.stages.map(({ values }) => wanted(values)));
});

test('the order of the readings does not matter', () => {
  const readings = readingsOf();
  expect(compared(readings.toReversed())).toEqual(compared(readings));
});

test('scaling every time scales values and intervals and leaves ratios and verdicts alone', () => {
  const readings = readingsOf();
  const scaled = readings.map((one) => ({
    ...one,
    bands: one.bands.map((band) => ({
      ...band,
      tfull_s: band.tfull_s! * 2,
      tfull_standard_error_s: band.tfull_standard_error_s! * 2,
      t20_s: band.t20_s! * 2,
    })),
  }));
  const [plain, twice] = [compared(readings), compared(scaled)];
  for (const value of plain.change.values) {
    if (value.quantity !== 'tfull_s') continue;
    const other = pick(twice.change.values, 'tfull_s', value.centre_hz);
    expect(other.difference).toBeCloseTo(2 * value.difference!, 12);
    expect(other.low).toBeCloseTo(2 * value.low!, 12);
    expect(other.percent_high).toBeCloseTo(value.percent_high!, 9);
    expect(other.verdict).toBe(value.verdict);
  }
});

test('stages with the very same readings differ by nothing and no change is claimed', () => {
  const before = readingsOf().filter((one) => one.stage === 'before');
  const { change } = compared([...before, ...before.map((one) => ({ ...one, stage: 'after' }))]);
  for (const value of change.values) {
    if (value.verdict === 'not-measurable') continue;
    expect(value.difference).toBe(0);
    expect(value.verdict).toBe('no-detectable-change');
  }
  expect(change.headline.verdict).toBe('no-detectable-change');
});

test('whatever the measurement: interval, verdict, noticeable and percentage agree, and the interval holds the difference', () => {
  fc.assert(
    fc.property(anyScene, fc.integer({ min: 1, max: 1e6 }), (scene, seed) => {
      const { change, before } = compared(readingsOf(scene, seed));
      for (const value of change.values) {
        if (value.difference === null) continue;
        expect(value.low).toBeLessThan(value.difference);
        expect(value.high).toBeGreaterThan(value.difference);
        expect(value.percent).toBeCloseTo(100 * (value.ratio! - 1), 9);
        expect(value.verdict).toBe(value.low! > 0 ? 'increased' : value.high! < 0 ? 'reduced' : 'no-detectable-change');
        expect(value.p_value! < 0.05).toBe(value.verdict !== 'no-detectable-change');
        expect(value.p_holm === null || value.p_holm >= value.p_value!).toBe(true);
        if (value.noticeable === 'yes') expect(value.verdict).not.toBe('no-detectable-change');
        if (value.noticeable === 'no') expect(Math.max(-value.percent_low!, value.percent_high!)).toBeLessThan(5);
      }
      const { headline } = change;
      if (headline.verdict === 'reduced') expect(headline.percent_high).toBeLessThan(0);
      if (headline.verdict === 'increased') expect(headline.percent_low).toBeGreaterThan(0);
      for (const value of before.values) {
        if (value.value === null) continue;
        expect(value.expanded_uncertainty).toBeCloseTo(value.coverage_factor! * value.standard_uncertainty!, 12);
      }
    }),
    { numRuns: 60 },
  );
});

test('the budget adds up to the standard uncertainty and, by Welch and Satterthwaite, to the degrees of freedom', () => {
  const { before, change } = compared(readingsOf());
  for (const value of [...before.values, ...change.values]) {
    if (value.standard_uncertainty === null) continue;
    expect(combinedUncertainty(value.budget)).toBeCloseTo(value.standard_uncertainty, 12);
    expect(effectiveDof(value.budget)).toEqual(value.dof);
    expect(value.coverage_factor).toBe(coverageFactor(value.dof));
  }
  expect(pick(before.values, 'tfull_s', 1000).budget.map((line) => line.source)).toContain('bound');
});

test('six positions of two claps give a shorter interval than two positions of six', () => {
  const width = (scene: Partial<Scene>) => {
    const sum = [1, 2, 3, 4, 5].map((seed) => {
      const value = pick(compared(readingsOf({ ...scene, correlation: 0 }, seed)).change.values, 'tfull_s', 1000);
      return value.percent_high! - value.percent_low!;
    });
    return sum.reduce((a, b) => a + b, 0);
  };
  expect(width({ positions: 6, claps: 2 })).toBeLessThan(0.75 * width({ positions: 2, claps: 6 }));
});

test('the noise of the recordings averages down over claps, the bound of the place does not', () => {
  const line = (claps: number, source: string) =>
    pick(compared(readingsOf({ claps })).before.values, 'tfull_s', 1000).budget.find(
      (entry) => entry.source === source,
    )!.standard_uncertainty;
  expect(line(1, 'range') / line(4, 'range')).toBeCloseTo(2, 1);
  expect(line(1, 'bound') / line(4, 'bound')).toBeCloseTo(1, 1);
});

test('one position: scope position, the spread assumed and said to be, and the interval never under the theoretical floor', () => {
  const { before, change } = compared(readingsOf({ positions: 1, claps: 1 }));
  const value = pick(before.values, 'tfull_s', 1000);
  expect([value.scope, value.overdispersion_assumed]).toEqual(['position', true]);
  expect(value.reasons.join()).toMatch(/assumed, not seen, at 1\.\d times the theoretical/);
  expect(value.reasons.join()).toMatch(/one response only/);
  const one = readingsOf({ positions: 1, claps: 1 })[0]!.bands.find((band) => band.centre_hz === 1000)!;
  expect(value.standard_uncertainty).toBeGreaterThan(one.tfull_standard_error_s!);
  expect(pick(change.values, 'tfull_s', 1000).scope).toBe('position');
  expect(change.headline.scope).toBe('position');
  expect(change.headline.reasons.join()).toMatch(
    /the claim holds there, with the spread over the room allowed for by assumption/,
  );
});

test('a correlation of the stages shortens the interval where six positions show it, and not at one', () => {
  const scene = { correlation: 0.8, range_db: 70, overdispersion: 1.5 };
  const many = pick(compared(readingsOf({ ...scene, positions: 6 })).change.values, 'tfull_s', 1000);
  expect(many.correlation).toBeGreaterThan(0.4);
  expect(pick(compared(readingsOf({ ...scene, positions: 1 })).change.values, 'tfull_s', 1000).correlation).toBe(0);
});

test('a change is taken over the positions both stages have, over all as independent where they share none', () => {
  const at = (stage: string, position: string, t20_s: number) =>
    reading({ stage, position, take: stage + position }, { centre_hz: 500, t20_s });
  const shared = compared([
    at('before', 'A', 0.4),
    at('before', 'B', 0.5),
    at('after', 'A', 0.3),
    at('after', 'C', 0.9),
  ]);
  const value = pick(shared.change.values, 't20_s', 500);
  expect(value.difference).toBeCloseTo(-0.1, 12);
  expect(value.shared_positions).toBe(1);
  expect(shared.change.warnings).toEqual([
    'Position B was measured in "before" and not in "after": the change leaves it out.',
    'Position C was measured in "after" and not in "before": the change leaves it out.',
  ]);
  const apart = compared([
    at('before', 'A', 0.4),
    at('before', 'B', 0.5),
    at('after', 'C', 0.3),
    at('after', 'D', 0.3),
  ]);
  const other = pick(apart.change.values, 't20_s', 500);
  expect(other.difference).toBeCloseTo(-0.15, 12);
  expect(other.reasons).toEqual(['the two stages share no position: compared as independent']);
});

test('levels and clarity are compared as differences, without ratio or percentage', () => {
  const at = (stage: string, c50_db: number) =>
    reading({ stage, take: stage }, { centre_hz: 1000, c50_db, t20_s: 0.3 });
  const value = pick(compared([at('before', 5), at('after', 14)]).change.values, 'c50_db', 1000);
  expect(value.difference).toBe(9);
  expect([value.ratio, value.percent, value.percent_low]).toEqual([null, null, null]);
  expect(value.low! + value.high!).toBeCloseTo(18, 12);
  expect([value.verdict, value.noticeable]).toEqual(['increased', 'yes']);
});

test('a level from one clap allows for the spectrum of the clap by judgement, from several by what is seen', () => {
  const at = (take: string, late_level_db: number) => reading({ take }, { centre_hz: 1000, late_level_db, t20_s: 0.3 });
  const line = (readings: ReturnType<typeof at>[]) =>
    pick(compared(readings).before.values, 'late_level_db', 1000).budget.find(
      (entry) => entry.source === 'repeatability',
    )!;
  expect(line([at('1', -8)])).toEqual({ source: 'repeatability', standard_uncertainty: 2, dof: 8 });
  const seen = line([at('1', -8), at('2', -7), at('3', -9)]);
  expect(seen.standard_uncertainty).toBeCloseTo(1 / Math.sqrt(3), 12);
  expect(seen.dof).toBe(2);
});

test('refused: a value that under half of the used responses give, with the commonest reason', () => {
  const short = 'range 41 dB, 45 needed';
  const readings = [0.3, null, null].map((t30_s, i) =>
    reading(
      { take: String(i) },
      { centre_hz: 500, t20_s: 0.3, t30_s, refusals: t30_s === null ? { t30_s: short } : {} },
    ),
  );
  const { before, change } = compared([
    ...readings,
    reading({ stage: 'after', take: 'x' }, { centre_hz: 500, t30_s: 0.3, t20_s: 0.3 }),
  ]);
  const value = pick(before.values, 't30_s', 500);
  expect([value.status, value.value]).toEqual(['unavailable', null]);
  expect(value.reasons).toEqual([`1 of 3 responses give a value, at least half needed; ${short}`]);
  const refused = pick(change.values, 't30_s', 500);
  expect([refused.verdict, refused.difference, refused.p_value]).toEqual(['not-measurable', null, null]);
  expect(refused.reasons).toEqual([`"before": ${value.reasons[0]}`]);
});

test('refused: a stage none of whose responses could be used', () => {
  const { after, change } = compared(readingsOf().filter((one) => one.stage === 'before'));
  expect(pick(after.values, 'tfull_s', 500).reasons).toEqual(['no response of this stage could be used']);
  expect(change.headline.verdict).toBe('not-measurable');
  expect(change.headline.reasons.join()).toMatch(/no response of this stage could be used/);
});

test('refused: a level in a band without any decay time to reckon its spread from', () => {
  const { before } = compared([reading({}, { centre_hz: 500, late_level_db: -10 })]);
  expect(pick(before.values, 'late_level_db', 500).reasons.join()).toMatch(/no decay time was read in this band/);
});

test('flagged: a value that half of the responses flag, with their reason', () => {
  const flag = 'B*T is 6, under 8';
  const readings = [0, 1].map((i) =>
    reading({ take: String(i) }, { centre_hz: 125, t20_s: 0.2, flags: i === 0 ? { t20_s: flag } : {} }),
  );
  const value = pick(compared(readings).before.values, 't20_s', 125);
  expect(value.status).toBe('flagged');
  expect(value.reasons[0]).toBe(flag);
});

test('compareStages throws where a pair names a stage that is not there', () => {
  expect(() => compareStages({ stages: [], readings: [], pairs: [['before', 'after']] })).toThrow(/no stage before/);
});

test('thirds stand beside octaves: they move no octave, have no mean of their own and carry no headline', () => {
  const plain = compared(readingsOf({ positions: 2, claps: 2 })).change;
  const both = readingsOf({ positions: 2, claps: 2 }).map((reading) => ({
    ...reading,
    bands: [
      ...reading.bands.map((band) => ({ ...band, width: 'third-octave' as const, tfull_s: band.tfull_s! * 2 })),
      ...reading.bands,
    ],
  }));
  const { change, before } = compared(both);
  expect(change.values.filter(({ width }) => width === 'octave')).toEqual(plain.values);
  expect(change.headline).toEqual(plain.headline);
  for (const values of [change.values, before.values]) {
    const thirds = values.filter(({ width }) => width === 'third-octave');
    expect(thirds.length).toBeGreaterThan(0);
    expect(thirds.some(({ centre_hz }) => centre_hz === 'mid')).toBe(false);
  }
});

test('bands come in order of frequency, whatever the order they were read in', () => {
  const readings = readingsOf({ positions: 2, claps: 1 }).map((one) => ({ ...one, bands: one.bands.toReversed() }));
  const centres = compared(readings)
    .before.values.filter(({ quantity }) => quantity === 'tfull_s')
    .map(({ centre_hz }) => centre_hz);
  expect(centres).toEqual([125, 250, 500, 1000, 2000, 4000, 'mid']);
});

test('T20 of one decay of interrupted noise spreads more than that of an impulse, which counts as ten', () => {
  // ISO 3382-2:2008, 7: the variance goes as 1 + 1.90 / n.
  const readings = readingsOf({ positions: 1, claps: 1 });
  const of = (decays_per_reading?: number) => {
    const stage = { id: 'before', temperature_c: null, humidity_percent: null };
    const { stages } = compareStages({ stages: [stage], readings, pairs: [], decays_per_reading });
    return pick(stages[0]!.values, 't20_s', 1000).budget.find(({ source }) => source === 'bound')!.standard_uncertainty;
  };
  expect(of() / of(10)).toBeCloseTo(1, 12);
  expect(of(1) / of(10)).toBeCloseTo(Math.sqrt(2.9 / 1.19), 9);
});

test('two slopes count in a band where more than half of the responses show them', () => {
  const slopes: TwoSlopes = { early_s: 0.2, late_s: 0.6, late_level_db: -20, crossing_s: 0.1 };
  const [before, after] = ['before', 'after'].map((stage) =>
    readingsOf({ positions: 2, claps: 2 }).filter((one) => one.stage === stage),
  ) as [ReadingAt[], ReadingAt[]];
  const shown = (of: number) => [
    ...after,
    ...before.map((one, i) => ({
      ...one,
      bands: one.bands.map((band) =>
        band.centre_hz === 500 && i < of ? { ...band, tfull_s: null, two_slopes: slopes } : band,
      ),
    })),
  ];
  expect(compared(shown(2)).change.headline.reasons.join()).not.toContain('two slopes');
  expect(compared(shown(3)).change.headline.reasons[0]).toBe('the decay has two slopes at 500 Hz');
});

test('where the decay bends, the headline falls to T20, and without it to the early decay', () => {
  const slopes: TwoSlopes = { early_s: 0.2, late_s: 0.6, late_level_db: -20, crossing_s: 0.1 };
  const bent = readingsOf({ positions: 2, claps: 2 }).map((one) => ({
    ...one,
    bands: one.bands.map((band) => ({ ...band, edt_s: band.tfull_s, tfull_s: null, two_slopes: slopes })),
  }));
  expect(compared(bent).change.headline.quantity).toBe('t20_s');
  const short = bent.map((one) => ({ ...one, bands: one.bands.map((band) => ({ ...band, t20_s: null })) }));
  expect(compared(short).change.headline.quantity).toBe('edt_s');
});

test('a straight decay without a full-range time has its headline on T30 before T20', () => {
  const readings = readingsOf({ positions: 2, claps: 2 }).map((one) => ({
    ...one,
    bands: one.bands.map((band) => ({ ...band, t30_s: band.t20_s, tfull_s: null })),
  }));
  expect(compared(readings).change.headline.quantity).toBe('t30_s');
});

test('what would settle a band is reckoned from the responses there are at each position', () => {
  const readings = readingsOf({ decay_s: [0.3, 0.27], range_db: 22, positions: 3, claps: 4, correlation: 0 }, 3);
  const { change } = compared(readings);
  const open = change.values.filter(({ to_settle }) => to_settle !== null);
  expect(open.length).toBeGreaterThan(0);
  for (const value of open) expect(value.to_settle).toEqual(settling(value, 4));
});
