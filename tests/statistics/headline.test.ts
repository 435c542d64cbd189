import { describe, expect, test } from 'vitest';
import type { BandQuantity, TwoSlopes } from '../../src/room/reading.ts';
import type { ReadingAt } from '../../src/statistics/compare-stages.ts';
import type { ChangeValue } from '../../src/statistics/finding.ts';
import { headline } from '../../src/statistics/headline.ts';
import { compared, readingsOf } from './readings.ts';

const TWO_SLOPES: TwoSlopes = { early_s: 0.2, late_s: 0.6, late_level_db: -20, crossing_s: 0.1 };

/** The readings with a quantity taken out in some bands. */
function without(readings: ReadingAt[], quantity: BandQuantity, centres_hz: number[]): ReadingAt[] {
  return readings.map((one) => ({
    ...one,
    bands: one.bands.map((band) =>
      centres_hz.includes(band.centre_hz)
        ? { ...band, [quantity]: null, refusals: { ...band.refusals, [quantity]: 'range 18 dB, 20 needed' } }
        : band,
    ),
  }));
}

test('the headline rests on the full-range time over 500 and 1000 Hz, and equals the change of their mean', () => {
  const { change } = compared(readingsOf());
  const mid = change.values.find((value) => value.quantity === 'tfull_s' && value.centre_hz === 'mid')!;
  expect(change.headline.quantity).toBe('tfull_s');
  expect(change.headline.bands_hz).toEqual([500, 1000]);
  expect(change.headline.ratio).toBe(mid.ratio);
  expect(change.headline.percent_low).toBe(mid.percent_low);
  expect(change.headline.high).toBeCloseTo(1 + mid.percent_high! / 100, 12);
  expect(change.headline.verdict).toBe('reduced');
});

test('without the full-range time the headline goes to T20 where T30 is not there either', () => {
  const { change } = compared(without(readingsOf(), 'tfull_s', [125, 250, 500, 1000, 2000, 4000]));
  expect(change.headline.quantity).toBe('t20_s');
});

test('one band short: the headline rests on the other and says why', () => {
  const readings = without(without(readingsOf(), 'tfull_s', [500]), 't20_s', [500]);
  const { headline } = compared(readings).change;
  expect(headline.bands_hz).toEqual([1000]);
  expect(headline.reasons.join()).toMatch(
    /500 Hz not measurable: "before": 0 of 9 responses .* range 18 dB, 20 needed/,
  );
});

test('two slopes in most responses of a headline band send the headline back to T20', () => {
  const readings = readingsOf().map((one) => ({
    ...one,
    bands: one.bands.map((band) =>
      band.centre_hz === 500 ? { ...band, tfull_s: null, two_slopes: TWO_SLOPES } : band,
    ),
  }));
  const { headline } = compared(readings).change;
  expect(headline.quantity).toBe('t20_s');
  expect(headline.reasons[0]).toBe('the decay has two slopes at 500 Hz');
});

test('nothing measurable in any headline band: no headline, with the reasons of the bands', () => {
  const readings = without(without(readingsOf(), 'tfull_s', [500, 1000]), 't20_s', [500, 1000]);
  const { headline } = compared(readings).change;
  expect([headline.quantity, headline.ratio, headline.verdict]).toEqual([null, null, 'not-measurable']);
  expect(headline.reasons.join()).toMatch(/500 Hz: "before": .*1000 Hz: "before": /);
});

test('a mean that leaves out zero claims nothing where no band stands after correction', () => {
  // Both bands at p = 0.04: the mean of the two is beyond its interval, either alone is not after doubling.
  let seen = 0;
  for (let seed = 1; seed <= 400 && seen < 3; seed++) {
    const { change } = compared(
      readingsOf({ decay_s: [0.3, 0.28], positions: 2, claps: 1, bands_hz: [500, 1000] }, seed),
    );
    const bands = change.values.filter((value) => value.quantity === 'tfull_s' && value.centre_hz !== 'mid');
    const mid = change.values.find((value) => value.quantity === 'tfull_s' && value.centre_hz === 'mid')!;
    if (mid.verdict === 'no-detectable-change' || bands.some((band) => band.p_holm! < 0.05)) continue;
    seen++;
    expect(change.headline.verdict).toBe('no-detectable-change');
    expect(change.headline.noticeable).toBe('unclear');
    expect(change.headline.reasons.join()).toMatch(/no single band stands after correction/);
  }
  expect(seen).toBe(3);
});

describe('headline(input)', () => {
  const { change: simulated } = compared(readingsOf());
  const [some] = simulated.values;
  const band = (given: Partial<ChangeValue>): ChangeValue => ({ ...some!, verdict: 'reduced', reasons: [], ...given });
  const mean = band({
    difference: -0.1,
    ratio: 0.8,
    percent: -20,
    percent_low: -25,
    percent_high: -15,
    noticeable: 'yes',
  });
  const of = (bands: readonly ChangeValue[], means = mean) =>
    headline({ candidates: [{ quantity: 'tfull_s', bands, mean: () => means }], two_slopes_hz: [] });

  test('claims the change of the mean where a band stands with it and none against it', () => {
    const stands = band({ centre_hz: 500, difference: -0.1, p_value: 0.001 });
    const open = band({ centre_hz: 1000, difference: -0.1, p_value: 0.5, verdict: 'no-detectable-change' });
    const found = of([stands, open]);
    expect(found).toMatchObject({
      verdict: 'reduced',
      noticeable: 'yes',
      bands_hz: [500, 1000],
      ratio: 0.8,
      reasons: [],
    });
    expect(found.low).toBeCloseTo(0.75, 12);
    expect(found.high).toBeCloseTo(0.85, 12);
  });

  test('claims nothing where a band stands the other way, alone or beside one that agrees', () => {
    const agrees = band({ centre_hz: 500, difference: -0.1, p_value: 0.001 });
    const against = band({ centre_hz: 1000, difference: 0.1, p_value: 0.001 });
    for (const bands of [[agrees, against], [against], [against, band({ difference: -0.1, p_value: 0.9 })]]) {
      expect(of(bands)).toMatchObject({ verdict: 'no-detectable-change', noticeable: 'unclear' });
    }
  });

  test('two bands stand under 0.025, as Holm doubles the smaller of two (Scandinavian J. of Statistics 6, 1979)', () => {
    const two = (p_value: number) => [500, 1000].map((centre_hz) => band({ centre_hz, difference: -0.1, p_value }));
    expect(of(two(0.0249)).verdict).toBe('reduced');
    expect(of(two(0.025)).verdict).toBe('no-detectable-change');
  });

  test('a mean that claims nothing is left so, without a word on bands', () => {
    const open = { ...mean, verdict: 'no-detectable-change' as const, noticeable: 'no' as const };
    const found = of([band({ centre_hz: 500, difference: -0.1, p_value: 0.001 })], open);
    expect(found).toMatchObject({ verdict: 'no-detectable-change', noticeable: 'no', reasons: [] });
  });

  test('names the bands of two slopes, and all that stands against a band that could not be measured', () => {
    const missing = band({ centre_hz: 500, verdict: 'not-measurable', reasons: ['too short', 'too noisy'] });
    const stands = band({ centre_hz: 1000, difference: -0.1, p_value: 0.001 });
    const input = { candidates: [{ quantity: 'tfull_s' as const, bands: [missing, stands], mean: () => mean }] };
    expect(headline({ ...input, two_slopes_hz: [500, 1000] }).reasons).toEqual([
      'the decay has two slopes at 500 and 1000 Hz',
      '500 Hz not measurable: too short; too noisy',
    ]);
  });

  test('nothing to choose from is not measurable', () => {
    const nothing = { quantity: null, bands_hz: [], verdict: 'not-measurable', reasons: [] };
    expect(headline({ candidates: [], two_slopes_hz: [] })).toMatchObject(nothing);
    const bare = { quantity: 'tfull_s' as const, bands: [], mean: () => mean };
    expect(headline({ candidates: [bare], two_slopes_hz: [] })).toMatchObject(nothing);
  });
});
