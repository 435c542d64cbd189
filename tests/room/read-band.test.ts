import { describe, expect, test } from 'vitest';
import { noiseError } from '../../src/room/noise-error.ts';
import { readBand, refusedBand } from '../../src/room/read-band.ts';
import { BAND_QUANTITIES, type BandQuantity, type BandReading } from '../../src/room/reading.ts';
import { flag, refusal } from '../../src/room/refusal.ts';
import { bandsOf } from '../../src/signal/bands.ts';
import { decayFromPower, rateOf } from './decay-from-power.ts';

const [band] = bandsOf('octave');

test('a range without end, of a decay into nothing but zeros, is no number', () => {
  const ranges = [61.5, null, Number.POSITIVE_INFINITY].map((range_db) => refusedBand(band!, 'why', range_db).range_db);
  expect(ranges).toEqual([61.5, null, null]);
});

const DIRECT = 1e-3;
/** Equivalent noise bandwidth of an octave: 0.71 of its midband, without the filter's skirts. */
const BT_OF = { 125: 88, 1000: 704 } as const;

/** What is read of a decay that follows a formula, without chance or filter. */
function read(power: (time_s: number) => number, { hz = 1000, end_s = 2 }: { hz?: 125 | 1000; end_s?: number } = {}) {
  const band = bandsOf('octave').find(({ centre_hz }) => centre_hz === hz)!;
  const decay = decayFromPower(power, { rate_hz: 8000, end_s });
  return readBand({ band, decay, direct: DIRECT, statistical_hz: 1.2265 * band.bandwidth_hz });
}

const slope =
  (time_s: number, level_db = 0) =>
  (t: number) =>
    10 ** (level_db / 10) * Math.exp(-rateOf(time_s) * t);
const over = (range_db: number, ...slopes: ((t: number) => number)[]) => {
  return (t: number) => slopes.reduce((sum, one) => sum + one(t), 10 ** (-range_db / 10));
};
const givenOf = (reading: BandReading) => BAND_QUANTITIES.filter((quantity) => reading[quantity] !== null);

describe('of one slope over steady noise', () => {
  test('everything is read as it was made', () => {
    const { reading, curve } = read(over(60, slope(0.5)));
    for (const quantity of ['edt_s', 't20_s', 't30_s', 'tfull_s'] as const) {
      expect(reading[quantity]).toBeCloseTo(0.5, 4);
    }
    // Closed forms of an exponential, as in the tests of clarity; late level against the direct sound.
    expect(reading.c50_db).toBeCloseTo(4.7437, 3);
    expect(reading.c80_db).toBeCloseTo(9.0956, 3);
    expect(reading.d50).toBeCloseTo(0.7488, 4);
    expect(reading.ts_s).toBeCloseTo(0.0361912, 5);
    const k = rateOf(0.5);
    expect(reading.late_level_db).toBeCloseTo(10 * Math.log10(Math.exp(-0.02 * k) / k / DIRECT), 3);
    expect(reading.range_db).toBeCloseTo(60, 2);
    expect(reading.nonlinearity_permille).toBeCloseTo(0, 6);
    expect(reading.curvature_percent).toBeCloseTo(0, 3);
    expect(reading).toMatchObject({ width: 'octave', centre_hz: 1000, two_slopes: null, refusals: {}, flags: {} });
    expect(curve).toMatchObject({ width: 'octave', centre_hz: 1000 });
    expect(curve!.truncation_s).toBeCloseTo(0.5, 4);
    expect(curve!.noise_db).toBeCloseTo(-60, 2);
  });

  test('the curve is thinned to 400 points at most, falls from 0 dB at time zero and reaches its end', () => {
    const { level_db, step_s, truncation_s } = read(over(60, slope(0.5))).curve!;
    expect(level_db.length).toBeLessThanOrEqual(400);
    expect(level_db.length).toBeGreaterThan(200);
    expect(level_db[0]).toBeCloseTo(0, 12);
    expect(Math.abs(level_db.length * step_s - truncation_s)).toBeLessThan(2 * step_s);
    // The tail is added, so that the integrated curve falls as the decay does.
    Array.from(level_db).forEach((level, i) => {
      expect(level).toBeCloseTo((-60 * i * step_s) / 0.5, 2);
    });
  });

  // ISO 3382-1:2009, 4.2.1 and 5.3: 35 dB for T20, 45 dB for T30; the rest by the same margin of 10 dB.
  test.each([
    [19, []],
    [21, ['edt_s', 'tfull_s', 'c50_db', 'c80_db', 'd50', 'ts_s', 'late_level_db']],
    [34, ['edt_s', 'tfull_s', 'c50_db', 'c80_db', 'd50', 'ts_s', 'late_level_db']],
    [36, ['edt_s', 't20_s', 'tfull_s', 'c50_db', 'c80_db', 'd50', 'ts_s', 'late_level_db']],
    [44, ['edt_s', 't20_s', 'tfull_s', 'c50_db', 'c80_db', 'd50', 'ts_s', 'late_level_db']],
    [46, [...BAND_QUANTITIES]],
  ] as const)('over a range of %d dB is given what that range allows, the rest refused for it', (range_db, given) => {
    const { reading, curve } = read(over(range_db + 0.01, slope(0.5)));
    expect(givenOf(reading)).toEqual(given);
    const needed = (quantity: BandQuantity) => ({ t20_s: 35, t30_s: 45 })[quantity as string] ?? 20;
    for (const quantity of BAND_QUANTITIES.filter((one) => reading[one] === null)) {
      expect(reading.refusals[quantity]).toBe(refusal.range({ range_db, needed_db: needed(quantity) }));
    }
    expect(Object.keys(reading.refusals)).toHaveLength(BAND_QUANTITIES.length - given.length);
    expect(reading.range_db).toBeCloseTo(range_db + 0.01, 2);
    expect(curve === null).toBe(given.length === 0);
    expect(reading.curvature_percent === null).toBe(range_db < 45);
    expect(reading.nonlinearity_permille === null).toBe(range_db < 35);
  });

  test('a decay that the samples cut off is read all the same, and its range is what is left at its end', () => {
    const { reading, curve } = read(slope(0.5), { end_s: 0.3 });
    expect(reading.range_db).toBeCloseTo(36, 2);
    expect(curve!.truncation_s).toBeCloseTo(0.3, 3);
    expect(reading.t20_s).toBeCloseTo(0.5, 4);
    expect(reading.c50_db).toBeCloseTo(4.7437, 3);
  });

  test.each([1, 1.4, 2.2, 2.4])('of B·T %f times the least is refused under 4 and flagged under 8', (times) => {
    // Jacobsen and Rindel, J. Sound Vib. 117 (1987) 187-190.
    const bt = 3.6 * times;
    const { reading } = read(over(60, slope(bt / BT_OF[125])), { hz: 125 });
    const every = (words: string) => Object.fromEntries(BAND_QUANTITIES.map((quantity) => [quantity, words]));
    const measured = bandsOf('octave').find(({ centre_hz }) => centre_hz === 125)!.bandwidth_hz * (bt / BT_OF[125]);
    expect(reading.refusals).toEqual(measured < 4 ? every(refusal.tooShort(measured)) : {});
    expect(reading.flags).toEqual(measured >= 4 && measured < 8 ? every(flag.shortDecay(measured)) : {});
    expect(reading.range_db).toBeCloseTo(60, 1);
  });

  test.each([25, 36, 40, 47, 55])('over %d dB a time is flagged where noise may move it by over 5 %', (range_db) => {
    for (const [hz, time_s] of [
      [125, 0.3],
      [1000, 0.3],
      [1000, 2],
    ] as const) {
      const { reading } = read(over(range_db, slope(time_s)), { hz, end_s: 3 });
      const bt = bandsOf('octave').find(({ centre_hz }) => centre_hz === hz)!.bandwidth_hz * time_s;
      for (const quantity of ['edt_s', 't20_s', 't30_s'] as const) {
        const noisy = reading[quantity] !== null && noiseError(quantity, { range_db, bt }) > 0.05;
        expect(reading.flags[quantity], `${quantity} ${hz} Hz ${time_s} s`).toBe(noisy ? flag.noisy() : undefined);
      }
    }
  });
});

describe('of two slopes', () => {
  test('the full-range time is refused, both slopes are told, and the curvature is flagged on T20 and T30', () => {
    const { reading, curve } = read(over(70, slope(0.3), slope(1, -20)));
    expect(reading.two_slopes!.early_s).toBeCloseTo(0.3, 4);
    expect(reading.two_slopes!.late_s).toBeCloseTo(1, 3);
    expect(reading.refusals).toEqual({ tfull_s: refusal.twoSlopes() });
    expect(reading.tfull_standard_error_s).toBeNull();
    // ISO 3382-2:2008, B.3.
    const curvature = 100 * (reading.t30_s! / reading.t20_s! - 1);
    expect(curvature).toBeGreaterThan(10);
    expect(reading.curvature_percent).toBeCloseTo(curvature, 9);
    expect(reading.flags.t20_s).toBe(flag.curved(curvature));
    expect(reading.flags.t30_s).toBe(flag.curved(curvature));
    // The late line, -20 dB at 60 dB a second, meets the noise where it is 70 dB down.
    expect(curve!.truncation_s).toBeCloseTo(50 / 60, 2);
  });

  test('a line that is not straight is flagged by its non-linearity', () => {
    const { reading } = read(over(44, slope(0.3), slope(1, -20)));
    expect(reading.t30_s).toBeNull();
    expect(reading.nonlinearity_permille).toBeGreaterThan(10);
    expect(reading.flags).toEqual({ t20_s: flag.nonlinear(reading.nonlinearity_permille!) });
    expect(reading.curvature_percent).toBeNull();
  });

  test('that read alike over the range there is leave the full-range time, with the flag that they are two', () => {
    const { reading } = read(over(41, slope(0.3), slope(0.8, -12)));
    expect(Math.abs(reading.tfull_s! / reading.t20_s! - 1)).toBeLessThan(0.05);
    expect(reading.flags.tfull_s).toBe(flag.twoSlopesAlike());
    expect(reading.two_slopes!.late_s).toBeCloseTo(0.8, 3);
  });

  test('that cross far down leave the early time, with the depth it was read to', () => {
    const { reading } = read(over(85, slope(0.3), slope(1.2, -42)));
    expect(reading.tfull_s! / 0.3).toBeCloseTo(1, 1);
    // -200 dB/s and -42 - 50 dB/s cross 56 dB down at 0.28 s, where both together stand 3 dB higher.
    expect(reading.flags.tfull_s).toBe(flag.cutAbove(53));
    expect(reading.two_slopes!.crossing_s).toBeCloseTo(0.28, 3);
  });
});

test('a band without sound, and one of steady noise, refuses everything with the one reason', () => {
  for (const [power, reason] of [
    [() => 0, refusal.silent()],
    [() => 1, refusal.noDecay()],
  ] as const) {
    const { reading, curve } = read(power);
    expect(curve).toBeNull();
    expect(reading.range_db).toBeNull();
    expect(new Set(BAND_QUANTITIES.map((quantity) => reading.refusals[quantity]))).toEqual(new Set([reason]));
  }
});

describe('what follows no slope', () => {
  test('a decay that holds level first: its time is refused, what is read beside it flagged, its range capped', () => {
    const { reading } = read(over(55, (t) => slope(0.3)(Math.max(0, t - 0.08))));
    expect(reading.refusals).toEqual({ tfull_s: refusal.fit() });
    expect(reading.flags).toEqual({ edt_s: flag.misfit(), t20_s: flag.misfit(), t30_s: flag.misfit() });
    expect(reading.t20_s).toBeCloseTo(0.3, 2);
    // Carried back along its slope it would begin 16 dB over anything there is; 6 dB are let pass.
    expect(reading.range_db).toBeCloseTo(55 + 6, 1);
  });

  test('a second sound: each line is flagged by its own non-linearity, and the longer one is told', () => {
    const { reading } = read(over(55, slope(0.3), (t) => (t > 0.2 ? slope(0.3, -20)(t - 0.2) : 0)));
    expect(reading.refusals).toEqual({ tfull_s: refusal.fit() });
    expect(reading.flags.t30_s).toBe(flag.nonlinear(reading.nonlinearity_permille!));
    expect(reading.flags.t20_s).toMatch(/^non-linearity \d+ per mille/);
    expect(reading.flags.t20_s).not.toBe(reading.flags.t30_s);
    expect(reading.flags.edt_s).toBe(flag.misfit());
    expect(reading.curvature_percent).toBeLessThan(0);
  });
});

describe('noise that drifts', () => {
  test('is known by what lies next to the decay', () => {
    const { reading, curve } = read((t) => slope(0.3)(t) + (t < 1 ? 1 : 3) * 10 ** -4.5);
    expect(reading.range_db).toBeCloseTo(45, 2);
    expect(reading.t20_s).toBeCloseTo(0.3, 5);
    expect(curve!.truncation_s).toBeCloseTo(0.225, 4);
  });

  test('is told from a second slope, which is followed down to the steady noise', () => {
    const { reading } = read(over(60, slope(0.3), slope(1, -40)), { end_s: 4 });
    expect(reading.range_db).toBeCloseTo(60, 1);
    expect(reading.two_slopes!.late_s).toBeCloseTo(1, 2);
    expect(reading.two_slopes!.late_level_db).toBeCloseTo(-40, 1);
  });
});
