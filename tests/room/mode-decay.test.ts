import { describe, expect, test } from 'vitest';
import { modeDecays } from '../../src/room/mode-decay.ts';
import { boxModes } from '../../src/room/modes.ts';

const RATE_HZ = 48000;
const ZERO = 4800;

interface Damped {
  frequency_hz: number;
  time_s: number;
  amplitude?: number;
}

/** Damped sines from time zero on, over noise 80 dB below one of amplitude 1, from a seeded generator (mulberry32, public domain). */
function ringing(modes: readonly Damped[], noise = 1e-4, seconds = 3): Float64Array {
  let state = 9;
  const draw = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296 - 0.5;
  };
  return Float64Array.from({ length: Math.round(seconds * RATE_HZ) }, (_, index) => {
    const t_s = (index - ZERO) / RATE_HZ;
    let sum = 3.46 * noise * draw();
    if (t_s < 0) return sum;
    for (const { frequency_hz, time_s, amplitude = 1 } of modes) {
      sum += amplitude * Math.exp((-6.9078 * t_s) / time_s) * Math.sin(2 * Math.PI * frequency_hz * t_s + frequency_hz);
    }
    return sum;
  });
}

const read = (samples: Float64Array) => modeDecays(samples, { rate_hz: RATE_HZ, zero_sample: ZERO });

describe('modeDecays(samples, options)', () => {
  test('reads resonances that stand apart: frequency within a tenth of their width, decay within 3 %', () => {
    const modes = [
      { frequency_hz: 33, time_s: 1.1 },
      { frequency_hz: 47.6, time_s: 0.8 },
      { frequency_hz: 66, time_s: 0.6, amplitude: 0.5 },
      { frequency_hz: 95.3, time_s: 0.45 },
    ];
    const found = read(ringing(modes));
    expect(found).toHaveLength(modes.length);
    found.forEach((mode, index) => {
      // Half-power width 2.2 / T (Schroeder, J. Acoust. Soc. Am. 99, 1996, 3240): the skirts of the others move a peak by a little.
      expect(Math.abs(mode.frequency_hz - modes[index]!.frequency_hz)).toBeLessThan(0.22 / modes[index]!.time_s);
      expect(Math.abs(mode.time_s / modes[index]!.time_s - 1)).toBeLessThan(0.03);
    });
  });

  test('reads the axial modes of a box as they were made, where they stand apart', () => {
    const box = { length_m: 5.2, width_m: 3.6, height_m: 2.6 };
    const axial = boxModes(box, 70, 343).filter(({ kind, frequency_hz }) => kind === 'axial' && frequency_hz < 60);
    const found = read(ringing(axial.map(({ frequency_hz }) => ({ frequency_hz, time_s: 0.9 }))));
    expect(found.map(({ time_s }) => Math.round(10 * time_s) / 10)).toEqual(axial.map(() => 0.9));
  });

  test('gives nothing for two that beat, and nothing for noise', () => {
    const beating = [
      { frequency_hz: 60, time_s: 0.8 },
      { frequency_hz: 61.5, time_s: 0.8 },
    ];
    expect(read(ringing(beating))).toEqual([]);
    expect(read(ringing([]))).toEqual([]);
    expect(read(ringing([], 0))).toEqual([]);
  });

  test('gives nothing for one that barely stands over the noise, and for a recording cut short', () => {
    expect(read(ringing([{ frequency_hz: 50, time_s: 0.7, amplitude: 0.004 }], 1e-2))).toEqual([]);
    expect(read(ringing([{ frequency_hz: 50, time_s: 0.7 }]).subarray(0, ZERO + 4800))).toEqual([]);
  });
});
