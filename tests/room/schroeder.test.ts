import { describe, expect, test } from 'vitest';
import type { BandDecay } from '../../src/room/band-decay.ts';
import {
  curvature_percent,
  decayLine,
  energyFrom,
  type SchroederCurve,
  schroederCurve,
} from '../../src/room/schroeder.ts';
import { OCTAVES, THIRD_OCTAVES } from '../../src/signal/bands.ts';
import { butterworthBandpass } from '../../src/signal/butterworth.ts';
import { filterReversed } from '../../src/signal/filter-reversed.ts';
import { decayFromPower, rateOf } from './decay-from-power.ts';
import { gaussianStream } from './simulated-response.ts';

const EDT = { from_db: 0, to_db: -10 };
const T20 = { from_db: -5, to_db: -25 };
const T30 = { from_db: -5, to_db: -35 };
const percentOff = (found: number | undefined, truth: number) => 100 * (found! / truth - 1);

test('energyFrom agrees with the sum of squares from there on, written out', () => {
  const draw = gaussianStream(3);
  const squares = Array.from({ length: 500 }, (_, i) => (draw() * Math.exp(-i / 100)) ** 2);
  const cumulative = new Float64Array(501);
  squares.forEach((square, i) => {
    cumulative[i + 1] = cumulative[i]! + square / 1000;
  });
  const decay: BandDecay = { rate_hz: 1000, zero: 20, end: 500, cumulative };
  const tail = { stop_s: 0.4, noise: 1e-4, missing: 0.002 };
  for (const index of [20, 21, 100, 333]) {
    // Half of the samples at both ends: each stands in the middle of its interval.
    let sum = tail.missing + (squares[420]! - tail.noise - squares[index]! + tail.noise) / 2000;
    for (let i = index; i < 420; i++) sum += (squares[i]! - tail.noise) / 1000;
    expect(energyFrom(decay, tail, (index - 20) / 1000)).toBeCloseTo(sum, 12);
  }
});

// Integration cut where the true curve has fallen so far, no compensation, no noise: error in per cent, to 0.05 points
// (computed from E(t) = exp(-kt) - exp(-kt1), with the -10, -25 and -35 dB of EDT, T20, T30 after ISO 3382-1:2009).
test.each([
  [25, -1.12, -11.23, -20.34],
  [30, -0.36, -4.48, -12.09],
  [35, -0.11, -1.56, -6.0],
  [40, -0.04, -0.51, -2.43],
  [45, -0.01, -0.16, -0.85],
  [50, 0, -0.05, -0.28],
  [60, 0, -0.01, -0.03],
])(
  'cut at -%i dB without compensation, EDT, T20 and T30 are off by %f, %f and %f per cent',
  (cut_db, edt, t20, t30) => {
    const decay = decayFromPower((t) => Math.exp(-rateOf(1) * t), { rate_hz: 48000, end_s: cut_db / 60 });
    const curve = schroederCurve(decay, { stop_s: cut_db / 60, noise: 0, missing: 0 }, 20000);
    expect(Math.abs(percentOff(decayLine(curve, EDT)?.time_s, 1) - edt)).toBeLessThan(0.05);
    expect(Math.abs(percentOff(decayLine(curve, T20)?.time_s, 1) - t20)).toBeLessThan(0.05);
    expect(Math.abs(percentOff(decayLine(curve, T30)?.time_s, 1) - t30)).toBeLessThan(0.05);
  },
);

test('the tail added, the same cut at -40 dB reads true', () => {
  const k = rateOf(1);
  const stop_s = 40 / 60;
  const decay = decayFromPower((t) => Math.exp(-k * t), { rate_hz: 48000, end_s: stop_s });
  const curve = schroederCurve(decay, { stop_s, noise: 0, missing: Math.exp(-k * stop_s) / k }, 20000);
  for (const span of [EDT, T20, T30]) expect(percentOff(decayLine(curve, span)?.time_s, 1)).toBeCloseTo(0, 3);
});

// Exponential of 1 s with steady noise R dB down, integrated without any care (computed, 0.1 points): what truncation is for.
test.each([
  [1, T30, 45, 7.4],
  [1, T30, 50, 1.9],
  [1, T30, 60, 0.15],
  [2, T20, 45, 4.1],
  [2, T20, 50, 1.2],
  [2, T20, 60, 0.12],
])('noise left in and integrated to %f s: the time is too long, as computed', (end_s, span, range_db, percent) => {
  const noise = 10 ** (-range_db / 10);
  const decay = decayFromPower((t) => Math.exp(-rateOf(1) * t) + noise, { rate_hz: 20000, end_s });
  const curve = schroederCurve(decay, { stop_s: end_s, noise: 0, missing: 0 }, 20000);
  expect(Math.abs(percentOff(decayLine(curve, span)?.time_s, 1) - percent)).toBeLessThan(0.1);
});

// Two slopes, E(t) = (1 - a) 10^(-6t/T1) + a 10^(-6t/T2), least squares on a grid of 20 kHz (computed, 0.0005 s).
// xi: ISO 3382-2:2008, B.2; C: B.3.
test.each([
  [0.3, 0.3, 0.1, 0.3, 0.3, 0.3, 0, 0, 0],
  [0.3, 1.0, 0.001, 0.3005, 0.3031, 0.3098, 0.02, 0.34, 2.23],
  [0.2, 0.6, 0.003, 0.2009, 0.2052, 0.2165, 0.1, 1.79, 5.53],
  [0.5, 0.8, 0.1, 0.5301, 0.5697, 0.6044, 0.54, 1.77, 6.09],
  [0.3, 1.0, 0.01, 0.3051, 0.3352, 0.4518, 1.89, 30.99, 34.79],
])(
  'two slopes %f and %f s, share %f: EDT, T20, T30, xi and C as computed',
  (t1, t2, a, edt, t20, t30, xi20, xi30, c) => {
    const step_s = 1 / 20000;
    const level_db = Float64Array.from({ length: 40000 }, (_, i) => {
      const t = i * step_s;
      return 10 * Math.log10((1 - a) * 10 ** ((-6 * t) / t1) + a * 10 ** ((-6 * t) / t2));
    });
    const curve: SchroederCurve = { step_s, whole: 1, level_db };
    const [early, twenty, thirty] = [decayLine(curve, EDT)!, decayLine(curve, T20)!, decayLine(curve, T30)!];
    expect(Math.abs(early.time_s - edt)).toBeLessThan(0.0005);
    expect(Math.abs(twenty.time_s - t20)).toBeLessThan(0.0005);
    expect(Math.abs(thirty.time_s - t30)).toBeLessThan(0.0005);
    expect(twenty.nonlinearity_permille).toBeCloseTo(xi20, 1);
    expect(thirty.nonlinearity_permille).toBeCloseTo(xi30, 1);
    expect(Math.abs(curvature_percent(twenty.time_s, thirty.time_s) - c)).toBeLessThan(0.1);
  },
);

/** Mean energy of an exponential through a filter, forwards or reversed, for every time from before zero on. */
function filteredMean(options: { per: 1 | 3; product: number; reversed: boolean }): {
  decay: BandDecay;
  decay_time_s: number;
} {
  const band = (options.per === 1 ? OCTAVES : THIRD_OCTAVES).find(({ centre_hz }) => centre_hz === 1000)!;
  const rate_hz = 192000;
  const decay_time_s = options.product / band.bandwidth_hz;
  const impulse = new Float64Array(8001);
  impulse[8000] = 1;
  const sections = butterworthBandpass({ lower_hz: band.lower_hz, upper_hz: band.upper_hz, rate_hz });
  // Index 8000 - j holds the filter's answer j samples after its impulse.
  const squared = filterReversed(impulse, sections).map((value) => value * value);
  const factor = Math.exp(-rateOf(decay_time_s) / rate_hz);
  const length = Math.ceil(decay_time_s * rate_hz * 2) + 8000;
  const mean = new Float64Array(8000 + length);
  if (options.reversed) {
    // Energy at index i: the sum of the envelope from i on, weighted by the filter's answer backwards from there.
    let held = 0;
    const backwards = new Float64Array(mean.length);
    // A one-sided exponential convolved with the answer: run the recursion from the answer's far end.
    for (let i = 0; i <= 8000; i++) {
      held = held * factor + squared[i]!;
      backwards[i] = held;
    }
    for (let i = 8001; i < mean.length; i++) backwards[i] = backwards[i - 1]! * factor;
    mean.set(backwards);
  } else {
    let held = 0;
    for (let i = 8000; i < mean.length; i++) {
      held = held * factor + (squared[16000 - i] ?? 0);
      mean[i] = held;
    }
  }
  const cumulative = new Float64Array(mean.length + 1);
  for (let i = 0; i < mean.length; i++) cumulative[i + 1] = cumulative[i]! + mean[i]! / rate_hz;
  return { decay: { rate_hz, zero: 8000, end: mean.length, cumulative }, decay_time_s };
}

/** Per cent; T20 and T30 off the whole curve, and off the part from time zero on, which is what a reading uses. */
function biases(options: { per: 1 | 3; product: number; reversed: boolean }) {
  const { decay, decay_time_s } = filteredMean(options);
  const stop_s = (decay.end - decay.zero) / decay.rate_hz;
  const tail = { stop_s, noise: 0, missing: 0 };
  const fromZero = schroederCurve(decay, tail, decay.end - decay.zero);
  const whole = schroederCurve({ ...decay, zero: 0 }, { ...tail, stop_s: decay.end / decay.rate_hz }, decay.end);
  const off = (curve: SchroederCurve, span: typeof T20, reference_db = 0) =>
    percentOff(decayLine(curve, { ...span, reference_db })?.time_s, decay_time_s);
  return {
    edt: off(fromZero, EDT, fromZero.level_db[0]),
    t20: off(whole, T20),
    t30: off(whole, T30),
    t20FromZero: off(fromZero, T20),
    t30FromZero: off(fromZero, T30),
  };
}

// Bias by the filter alone, per cent: exponential, mean energy, 6-pole Butterworth, from B*T = 4 up to 0.3 points (computed).
// Limits B*T > 16 forwards, > 4 reversed: Jacobsen, J. Sound Vib. 115 (1987) 163; Jacobsen and Rindel, ibid. 117 (1987) 187.
describe('bias of the filter alone', () => {
  test.each([
    [1, 2, 7.31, 3.73],
    [1, 4, 0.32, 0.15],
    [1, 8, 0, 0],
    [1, 16, 0, 0],
    [3, 4, 0.13, 0.06],
    [3, 8, 0, 0],
  ] as const)(
    'reversed, b = %i, B*T = %i: EDT exact, T20 and T30 %f and %f per cent long',
    (per, product, t20, t30) => {
      const found = biases({ per, product, reversed: true });
      expect(Math.abs(found.edt)).toBeLessThan(0.3);
      expect(Math.abs(found.t20FromZero)).toBeLessThan(0.3);
      expect(Math.abs(found.t30FromZero)).toBeLessThan(0.3);
      expect(Math.abs(found.t20 - t20)).toBeLessThan(0.3);
      expect(Math.abs(found.t30 - t30)).toBeLessThan(0.3);
    },
  );

  test.each([
    [1, 8, 50.0, 4.66, 3.37],
    [1, 16, 17.3, 0.18, 0.09],
    [1, 32, 5.21, 0, 0],
    [3, 8, 47.6, 1.71, 1.01],
    [3, 16, 16.0, 0.04, 0.02],
  ] as const)(
    'forwards, b = %i, B*T = %i: EDT, T20, T30 long by %f, %f, %f per cent',
    (per, product, edt, t20, t30) => {
      const found = biases({ per, product, reversed: false });
      expect(Math.abs(found.edt - edt)).toBeLessThan(0.3);
      expect(Math.abs(found.t20 - t20)).toBeLessThan(0.3);
      expect(Math.abs(found.t30 - t30)).toBeLessThan(0.3);
    },
  );
});

test('decayLine is null where the curve does not reach the lower level', () => {
  const curve: SchroederCurve = { step_s: 0.01, whole: 1, level_db: Float64Array.from([0, -5, -10, -15, -20]) };
  expect(decayLine(curve, T20)).toBeNull();
});

describe('limits of a curve and of its line', () => {
  const curveOf = (...level_db: number[]): SchroederCurve => ({
    step_s: 0.1,
    whole: 1,
    level_db: Float64Array.from(level_db),
  });

  test('a curve ends before its energy would turn negative, or nothing is left', () => {
    // One until 0.1 s, then nothing: with a noise of 0.05 the energy left at t is 0.1 - t - 0.05 (1 - t).
    const decay = decayFromPower((t) => (t < 0.1 ? 1 : 0), { rate_hz: 8000, end_s: 1 });
    const curve = schroederCurve(decay, { stop_s: 1, noise: 0.05, missing: 0 }, 1000);
    expect(curve.level_db).toHaveLength(Math.ceil(0.05 / 0.95 / curve.step_s));
    expect(curve.step_s).toBeCloseTo(0.001, 12);
    expect(curve.whole).toBeCloseTo(0.05, 9);
    expect(schroederCurve(decay, { stop_s: 1, noise: 0, missing: 0 }, 1000).level_db).toHaveLength(100);
    expect(schroederCurve(decay, { stop_s: 1, noise: 1, missing: 0 }, 1000).level_db).toHaveLength(0);
    expect(schroederCurve(decay, { stop_s: 1, noise: 0, missing: 0.01 }, 1000).level_db).toHaveLength(1001);
  });

  test('a line asks for three points between the levels, both of which count, and for the curve to pass below', () => {
    const line = (...levels: number[]) => decayLine(curveOf(0, ...levels), T20);
    expect(line(-5, -15, -25, -26)).toMatchObject({ time_s: expect.closeTo(0.6, 9), level_db: expect.closeTo(5, 9) });
    expect(line(-5, -15, -26)).toBeNull();
    expect(line(-4, -15, -24, -26)).toBeNull();
    expect(line(-5, -15, -25)).toBeNull();
    expect(line(-1, -2, -3)).toBeNull();
  });

  test('a part that rises, or stays, has no decay time', () => {
    expect(decayLine(curveOf(0, -24, -20, -15, -6, -40), T20)).toBeNull();
    expect(decayLine(curveOf(0, -10, -10, -10, -40), T20)).toBeNull();
  });

  test('levels are taken from the reference that is given', () => {
    const curve = curveOf(...Array.from({ length: 40 }, (_, i) => -3 - i));
    const found = decayLine(curve, { ...EDT, reference_db: -3 })!;
    expect(found.time_s).toBeCloseTo(6, 9);
    expect(found.level_db).toBeCloseTo(-3, 9);
  });
});
