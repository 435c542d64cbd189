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
function ringing(modes: readonly Damped[], noise = 1e-4, seconds = 3, rate_hz = RATE_HZ): Float64Array {
  let state = 9;
  const draw = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296 - 0.5;
  };
  return Float64Array.from({ length: Math.round(seconds * rate_hz) }, (_, index) => {
    const t_s = (index - ZERO) / rate_hz;
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

describe('modeDecays at a rate of its own, 1500 Hz', () => {
  const at = (modes: readonly Damped[], noise = 1e-5) =>
    modeDecays(ringing(modes, noise, 6.2, 1500), { rate_hz: 1500, zero_sample: ZERO });
  const pitches = (modes: readonly Damped[], noise?: number) =>
    at(modes, noise).map(({ frequency_hz }) => Math.round(frequency_hz));
  const mode = (frequency_hz: number, level_db = 0, time_s = 0.8) => ({
    frequency_hz,
    time_s,
    amplitude: 10 ** (level_db / 20),
  });

  test('tells how far each lies under the strongest: the peak goes as amplitude times decay time', () => {
    const found = at([mode(50), mode(120, -12), mode(190, -6, 0.4)]);
    const near = (hz: number) => found.find(({ frequency_hz }) => Math.abs(frequency_hz - hz) < 1)!;
    expect([50, 120, 190].map((hz) => Math.round(near(hz).level_db))).toEqual([0, -12, -12]);
    expect([50, 120, 190].map((hz) => Math.round(20 * near(hz).time_s) / 20)).toEqual([0.8, 0.8, 0.4]);
  });

  test('tries the twelve strongest, and none more than 30 dB under the strongest', () => {
    const many = Array.from({ length: 13 }, (_, i) => mode(26 + 13 * i, i - 12));
    expect(pitches(many.slice(0, 12))).toContain(26);
    expect(pitches(many)).not.toContain(26);
    expect(pitches(many)).toContain(182);
    expect(pitches([mode(50), mode(120, -27)])).toContain(120);
    expect(pitches([mode(50), mode(120, -33)])).not.toContain(120);
  });

  test('looks from 20 to 200 Hz', () => {
    expect(pitches([mode(12), mode(28), mode(188), mode(206)])).toEqual([28, 188]);
  });

  test('is disturbed by a neighbour near by', () => {
    // Two fifths of 6 Hz are narrower than the 3 Hz that a band needs.
    expect(pitches([mode(60), mode(66, -12), mode(120)])).toEqual([120]);
    expect(pitches([mode(60), mode(73, -3), mode(120)])).toEqual([60, 73, 120]);
  });

  test('reads down to 10 dB over the noise', () => {
    const read_db = (noise: number) => at([mode(60)], noise)[0]?.read_db ?? null;
    const [quiet, loud] = [read_db(1e-4)!, read_db(1e-3)!];
    expect(Math.abs(quiet - loud - 20)).toBeLessThan(2.5);
    // Noise of 1e-4 over 750 Hz is 18 dB less in a band of 12 Hz: about 98 dB, less 10, and what the filter takes to settle.
    expect(Math.abs(quiet - 83)).toBeLessThan(4);
    expect(read_db(0.3)).toBeNull();
  });

  test('gives nothing for a decay that is no straight line: one that stops dead, or two that beat slowly', () => {
    const still = (of: (t_s: number) => number) => {
      const samples = ringing([], 1e-5, 6.2, 1500).map((noise, i) => {
        const t_s = (i - ZERO) / 1500;
        return t_s < 0 ? noise : noise + of(t_s) * Math.sin(2 * Math.PI * 60 * t_s);
      });
      return modeDecays(samples, { rate_hz: 1500, zero_sample: ZERO });
    };
    expect(still((t) => Math.exp((-6.9078 * t) / 0.8))).toHaveLength(1);
    expect(still((t) => Math.exp((-6.9078 * t) / 0.8) * (1 + 0.9 * Math.cos(2 * Math.PI * 2 * t)))).toEqual([]);
    expect(still((t) => (t < 0.6 ? 1 : 1e-4))).toEqual([]);
  });

  test('wants a quarter of a second', () => {
    const samples = ringing([mode(60, 0, 0.2)], 1e-5, 6.2, 1500);
    const of = (after_s: number) =>
      modeDecays(samples.subarray(0, ZERO + after_s * 1500), { rate_hz: 1500, zero_sample: ZERO }).length;
    expect([of(0.24), of(0.6)]).toEqual([0, 1]);
  });
});

test('the click with which resonances begin is none: what rings no longer than the band is not read', () => {
  const found: number[] = [];
  for (const [first_hz, second_hz] of [
    [35, 50],
    [35, 60],
    [50, 90],
    [65, 80],
  ] as const) {
    for (let phase = 0; phase < 2 * Math.PI; phase += 0.8) {
      const samples = ringing([], 1e-5, 6.2, 1500).map((noise, i) => {
        const t_s = (i - ZERO) / 1500;
        const two =
          Math.sin(2 * Math.PI * first_hz * t_s + phase) + Math.sin(2 * Math.PI * second_hz * t_s + 2 * phase);
        return t_s < 0 ? noise : noise + two * Math.exp((-6.9078 * t_s) / 0.3);
      });
      for (const { frequency_hz } of modeDecays(samples, { rate_hz: 1500, zero_sample: ZERO })) {
        found.push(Math.min(Math.abs(frequency_hz - first_hz), Math.abs(frequency_hz - second_hz)));
      }
    }
  }
  expect(found.length).toBeGreaterThan(40);
  expect(Math.max(...found)).toBeLessThan(1.5);
});
