import { describe, expect, it } from 'vitest';
import { deconvolver } from '../../src/signal/sweep-deconvolve.ts';
import { gaussian } from './sweep-recording.ts';

function noise(length: number, seed: number): Float64Array {
  const draw = gaussian(seed);
  return Float64Array.from({ length }, () => draw());
}

/** The slow twin: the sum as the convolution is defined, lag by lag. */
function bySum(samples: Float64Array, inverse: Float64Array, lag: number): number {
  let sum = 0;
  for (let k = 0; k < inverse.length; k += 1) sum += inverse[k]! * (samples[lag + inverse.length - 1 - k] ?? 0);
  return sum;
}

describe('deconvolver(inverse)', () => {
  it.each([
    [300, -120, 200],
    [300, 0, 300],
    [40, -99, 180],
    [1000, 850, 160],
  ])(
    'is, of %d samples from lag %d for %d lags, the sum that defines it, with nothing wrapped around',
    (length, from_samples, length_samples) => {
      const [samples, inverse] = [noise(length, 1), noise(100, 2)];
      const out = deconvolver(inverse)(samples, { from_samples, length_samples });
      expect(out.length).toBe(length_samples);
      out.forEach((value, i) => {
        expect(Math.abs(value - bySum(samples, inverse, from_samples + i))).toBeLessThan(1e-9);
      });
    },
  );

  it('reads between samples: a low tone a fraction of a sample later', () => {
    const inverse = Float64Array.of(1);
    const tone = (t: number) => Math.sin(0.3 * t) * Math.exp(-(((t - 250) / 60) ** 2));
    const samples = Float64Array.from({ length: 500 }, (_, n) => tone(n));
    const out = deconvolver(inverse)(samples, { from_samples: 100.37, length_samples: 300 });
    out.forEach((value, i) => {
      expect(Math.abs(value - tone(100.37 + i))).toBeLessThan(1e-6);
    });
  });

  it('gives the same when it is used again for another size', () => {
    const [inverse, short, long] = [noise(100, 3), noise(200, 4), noise(2000, 5)];
    const kept = deconvolver(inverse);
    const lags = { from_samples: 3, length_samples: 50 };
    const first = kept(short, lags);
    kept(long, lags);
    expect(kept(short, lags)).toEqual(first);
  });

  it('refuses what would need more than 2^24 points', () => {
    const samples = new Float64Array(2 ** 24 + 1);
    expect(() => deconvolver(Float64Array.of(1))(samples, { from_samples: 0, length_samples: 1 })).toThrow('too many');
  });
});
