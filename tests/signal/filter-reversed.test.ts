import { expect, test } from 'vitest';
import { butterworthBandpass, butterworthHighpass, cascadePower } from '../../src/signal/butterworth.ts';
import { energyReversedInto, filterReversed } from '../../src/signal/filter-reversed.ts';
import { gaussianStream } from '../room/simulated-response.ts';

const sections = butterworthBandpass({ lower_hz: 700, upper_hz: 1400, rate_hz: 12000 });

/** The slow twin: the difference equation written out, forwards, on the reversed samples. */
function slowReversed(samples: number[], lead: number): number[] {
  let signal = [...samples].reverse().concat(new Array(lead).fill(0));
  for (const { b0, b1, b2, a1, a2 } of sections) {
    const out: number[] = [];
    for (let n = 0; n < signal.length; n++) {
      out.push(
        b0 * signal[n]! +
          b1 * (signal[n - 1] ?? 0) +
          b2 * (signal[n - 2] ?? 0) -
          a1 * (out[n - 1] ?? 0) -
          a2 * (out[n - 2] ?? 0),
      );
    }
    signal = out;
  }
  return signal.reverse();
}

test('filterReversed agrees with the difference equation run over reversed samples', () => {
  const draw = gaussianStream(5);
  const samples = Float64Array.from({ length: 400 }, () => draw());
  const fast = filterReversed(samples, sections, 100);
  slowReversed([...samples], 100).forEach((value, i) => {
    expect(fast[i]).toBeCloseTo(value, 10);
  });
});

test.each([
  [400, 50],
  [400, 51],
  [401, 50],
  [401, 51],
  [400, 0],
  [401, 0],
  [2, 1],
  [1, 50],
  [0, 50],
  [0, 0],
])(
  'energyReversedInto, of %d samples after a lead of %d, sums the squares of what filterReversed gives',
  (length, lead) => {
    const draw = gaussianStream(6);
    const samples = Float64Array.from({ length }, () => draw());
    const signal = filterReversed(samples, sections, lead);
    const energy = energyReversedInto(new Float64Array(length + lead + 1), samples, { sections, step_s: 0.25 });
    expect(energy[length + lead]).toBe(0);
    let sum = 0;
    for (let i = length + lead - 1; i >= 0; i--) {
      sum += signal[i]! ** 2 / 4;
      expect(energy[i]! + sum).toBeCloseTo(0, 12);
    }
  },
);

test('energyReversedInto refuses what is no band-pass of three sections', () => {
  const options = { sections: butterworthHighpass({ corner_hz: 500, rate_hz: 48000 }), step_s: 1 };
  expect(() => energyReversedInto(new Float64Array(4), new Float64Array(3), options)).toThrow(RangeError);
});

test('filterReversed leaves its input alone', () => {
  const samples = Float64Array.from([1, 2, 3]);
  filterReversed(samples, sections, 4);
  expect([...samples]).toEqual([1, 2, 3]);
});

test('Butterworth filters are 3.01 dB down at their corners (definition)', () => {
  const power = (corner: number, of = sections) => -10 * Math.log10(cascadePower(of, corner));
  expect(power(700 / 12000)).toBeCloseTo(3.0103, 3);
  expect(power(1400 / 12000)).toBeCloseTo(3.0103, 3);
  const high = butterworthHighpass({ corner_hz: 500, rate_hz: 48000 });
  expect(power(500 / 48000, high)).toBeCloseTo(3.0103, 3);
  // Order 4: 24.1 dB an octave below the corner, 0.02 dB an octave above.
  expect(power(250 / 48000, high)).toBeCloseTo(24.1, 1);
  expect(power(1000 / 48000, high)).toBeCloseTo(0.017, 2);
});

test('edges out of order or over half the rate are refused', () => {
  expect(() => butterworthBandpass({ lower_hz: 2, upper_hz: 1, rate_hz: 10 })).toThrow('do not fit');
  expect(() => butterworthBandpass({ lower_hz: 1, upper_hz: 5, rate_hz: 10 })).toThrow('do not fit');
  expect(() => butterworthHighpass({ corner_hz: 6, rate_hz: 10 })).toThrow('does not fit');
});
