import { describe, expect, it } from 'vitest';
import { loudness } from '../../src/audio/loudness.ts';
import { loudnessFilter } from '../../src/audio/loudness-filter.ts';

/** Sine in turn at each peak level (dBFS) for each duration (s), phase running on. */
function sine(parts: [dbfs: number, seconds: number][], options: { hz: number; rate_hz: number }): Float64Array {
  const lengths = parts.map(([, seconds]) => Math.round(seconds * options.rate_hz));
  const samples = new Float64Array(lengths.reduce((sum, length) => sum + length, 0));
  const turn = (2 * Math.PI * options.hz) / options.rate_hz;
  let n = 0;
  parts.forEach(([dbfs], part) => {
    const amplitude = 10 ** (dbfs / 20);
    for (const end = n + lengths[part]!; n < end; n += 1) samples[n] = amplitude * Math.sin(turn * n);
  });
  return samples;
}

function stereo(parts: [number, number][], rate_hz = 48_000) {
  const one = sine(parts, { hz: 1000, rate_hz });
  return loudness([one, one], { rate_hz });
}

/** Power gain in dB of the cascade at `hz`, straight from the transfer function. */
function gain_db(hz: number, rate_hz: number): number {
  const at = (c: readonly number[]) => {
    const w = (2 * Math.PI * hz) / rate_hz;
    const re = c[0]! + c[1]! * Math.cos(w) + c[2]! * Math.cos(2 * w);
    const im = c[1]! * Math.sin(w) + c[2]! * Math.sin(2 * w);
    return re ** 2 + im ** 2;
  };
  return loudnessFilter(rate_hz).reduce((sum, { b, a }) => sum + 10 * Math.log10(at(b) / at(a)), 0);
}

describe('loudnessFilter(rate_hz)', () => {
  it('is at 48 kHz what ITU-R BS.1770-4 Tables 1 and 2 print', () => {
    expect(loudnessFilter(48_000)).toEqual([
      { b: [1.53512485958697, -2.69169618940638, 1.19839281085285], a: [1, -1.69065929318241, 0.73248077421585] },
      { b: [1, -2, 1], a: [1, -1.99004745483398, 0.99007225036621] },
    ]);
  });

  // Computed from the two tables in double precision.
  it.each([
    [50, -3.9341],
    [100, -1.1335],
    [200, -0.2649],
    [500, 0.0425],
    [997, 0.691],
    [1000, 0.6977],
    [2000, 3.0713],
    [4000, 3.968],
    [8000, 4.0394],
    [10_000, 4.0419],
  ])('has at 48 kHz and %d Hz a gain of %d dB', (hz, db) => {
    expect(Math.abs(gain_db(hz, 48_000) - db)).toBeLessThan(0.0005);
  });

  // BS.1770-4, Annex 1: other rates need coefficients "chosen to provide the same frequency response". Bounds: what the bilinear
  // transform bends near a third of the rate, all under the 0.1 LU that EBU Tech 3341 grants a meter.
  it.each([
    [16_000, 0.07],
    [22_050, 0.03],
    [32_000, 0.01],
    [44_100, 0.01],
    [88_200, 0.01],
    [96_000, 0.01],
    [192_000, 0.01],
  ])('keeps its gain at a rate of %d Hz within %d dB', (rate_hz, bound_db) => {
    for (const hz of [50, 100, 200, 500, 997, 2000, 3000, 5000, 10_000].filter((f) => f < rate_hz / 3)) {
      expect(Math.abs(gain_db(hz, rate_hz) - gain_db(hz, 48_000))).toBeLessThan(bound_db);
    }
  });
});

describe('loudness(channels)', () => {
  // EBU Tech 3341 (2016), Table 1: minimum requirements test signals, tolerance 0.1 LU.
  it.each<[test: number, parts: [number, number][], lufs: number]>([
    [1, [[-23, 20]], -23],
    [2, [[-33, 20]], -33],
    [
      3,
      [
        [-36, 10],
        [-23, 60],
        [-36, 10],
      ],
      -23,
    ],
    [
      4,
      [
        [-72, 10],
        [-36, 10],
        [-23, 60],
        [-36, 10],
        [-72, 10],
      ],
      -23,
    ],
    [
      5,
      [
        [-26, 20],
        [-20, 20.1],
        [-26, 20],
      ],
      -23,
    ],
  ])('integrates signal %d of EBU Tech 3341 within 0.1 LU', (_test, parts, lufs) => {
    expect(Math.abs(stereo(parts).integrated_lufs! - lufs)).toBeLessThan(0.1);
  });

  it('integrates signal 6 of EBU Tech 3341, five channels, within 0.1 LU', () => {
    const channels = [-28, -28, -24, -30, -30].map((dbfs) => sine([[dbfs, 20]], { hz: 1000, rate_hz: 48_000 }));
    const places = ['front', 'front', 'front', 'surround', 'surround'] as const;
    expect(Math.abs(loudness(channels, { rate_hz: 48_000, places: [...places] }).integrated_lufs! + 23)).toBeLessThan(
      0.1,
    );
  });

  // EBU Tech 3341 (2016), Table 1, signals 1 and 2: momentary and short-term read the same as integrated.
  it.each([-23, -33])('reads a steady %d LUFS the same in all windows', (lufs) => {
    const read = stereo([[lufs, 20]]);
    expect(Math.abs(read.momentary_max_lufs! - lufs)).toBeLessThan(0.1);
    expect(Math.abs(read.short_term_max_lufs! - lufs)).toBeLessThan(0.1);
    expect(Math.abs(read.short_term_lufs.at(-1)! - lufs)).toBeLessThan(0.1);
  });

  it('would read signal 3 as -24.17 without the relative gate, so the gate is what is tested', () => {
    const { momentary_lufs } = stereo([
      [-36, 10],
      [-23, 60],
      [-36, 10],
    ]);
    const power = momentary_lufs.reduce((sum, lufs) => sum + 10 ** (lufs / 10), 0) / momentary_lufs.length;
    expect(10 * Math.log10(power)).toBeCloseTo(-24.17, 1);
  });

  // ITU-R BS.1770-4, Annex 1: a 0 dBFS sine of 997 Hz in one front channel reads -3.01 LKFS.
  it.each([32_000, 44_100, 48_000, 96_000])(
    'reads 997 Hz at full scale in one channel as -3.01 at a rate of %d Hz',
    (rate_hz) => {
      const read = loudness([sine([[0, 3]], { hz: 997, rate_hz })], { rate_hz });
      expect(Math.abs(read.integrated_lufs! + 3.01)).toBeLessThan(0.02);
    },
  );

  it('has no number for silence, nor for less than a block', () => {
    const silent = loudness([new Float64Array(96_000)], { rate_hz: 48_000 });
    expect([silent.integrated_lufs, silent.momentary_max_lufs, silent.short_term_max_lufs]).toEqual([null, null, null]);
    expect(loudness([sine([[0, 0.3]], { hz: 997, rate_hz: 48_000 })], { rate_hz: 48_000 }).integrated_lufs).toBeNull();
  });

  it('refuses as many places as there are not channels', () => {
    expect(() => loudness([new Float64Array(10)], { rate_hz: 48_000, places: [] })).toThrow('1 channels, 0 places');
  });
});
