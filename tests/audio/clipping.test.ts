import { describe, expect, it } from 'vitest';
import { clippedRuns, clippedShare } from '../../src/audio/clipping.ts';

/** A decaying tone, as steep as claps are. */
const tone = (peak: number) =>
  Float64Array.from({ length: 4800 }, (_, i) => peak * Math.exp(-i / 900) * Math.sin(0.21 * i + 0.4));
const held = (samples: Float64Array, ceiling: number) =>
  samples.map((value) => Math.max(-ceiling, Math.min(ceiling, value)));

describe('clippedRuns(samples)', () => {
  it('finds nothing in a wave that is not clipped, be it normalised to full scale or not', () => {
    for (const peak of [0.2, 0.7, 1]) {
      const wave = tone(1);
      const most = wave.reduce((top, value) => Math.max(top, Math.abs(value)), 0);
      expect(clippedRuns(wave.map((value) => (value * peak) / most))).toEqual([]);
    }
  });

  it('finds flat tops at full scale and, once turned down, below it', () => {
    for (const down of [1, 0.5, 0.1]) {
      const runs = clippedRuns(held(tone(1.6), 1).map((value) => value * down));
      expect(runs.length).toBeGreaterThan(1);
      expect(runs[0]!.below_full_scale_db).toBeCloseTo(-20 * Math.log10(down), 6);
    }
  });

  it('estimates the overshoot of a single peak up to 9 dB within 3 dB, low rather than high', () => {
    for (const over_db of [3, 6, 9]) {
      const pulse = Float64Array.from({ length: 200 }, (_, i) => 10 ** (over_db / 20) * Math.cos(0.1 * (i - 100)));
      const runs = clippedRuns(
        held(
          pulse.map((value, i) => (Math.abs(i - 100) > 15 ? 0 : value)),
          1,
        ),
      );
      // A parabola with the slope of the flanks stays under a cosine: 2.5 dB at 9 dB.
      expect(runs[0]!.overshoot_db).toBeGreaterThan(over_db - 3);
      expect(runs[0]!.overshoot_db).toBeLessThan(over_db + 1);
    }
  });

  it('finds nothing in a steady tone, at full scale and below, high or low', () => {
    for (const step of [0.003, 0.02, 0.37, 1.1]) {
      for (const peak of [1, 0.4]) {
        const steady = Float64Array.from(
          { length: 48000 },
          (_, i) => Math.round(32767 * peak * Math.sin(step * i)) / 32768,
        );
        expect(clippedRuns(steady)).toEqual([]);
      }
    }
  });

  it('does not take the coarse steps of a quiet recording for flat tops', () => {
    const coarse = tone(0.004).map((value) => Math.round(value * 32768) / 32768);
    expect(clippedShare(coarse)).toBe(0);
  });
});
