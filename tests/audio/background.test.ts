import { describe, expect, it } from 'vitest';
import { readBackground } from '../../src/audio/background.ts';
import { bandLevels } from '../../src/audio/band-levels.ts';
import { readCalibration } from '../../src/audio/calibration.ts';
import { aWeighted_db, noiseRating, noiseRatingCurve_db, noiseTarget } from '../../src/audio/noise-targets.ts';
import { gaussian } from '../signal/sweep-recording.ts';

const RATE_HZ = 32_000;

function white(seconds: number, rms: number, seed: number): Float64Array {
  const noise = gaussian(seed);
  return Float64Array.from({ length: seconds * RATE_HZ }, () => rms * noise());
}

function tone(seconds: number, options: { hz: number; amplitude: number }): Float64Array {
  return Float64Array.from({ length: seconds * RATE_HZ }, (_, n) => {
    return options.amplitude * Math.sin((2 * Math.PI * options.hz * n) / RATE_HZ);
  });
}

describe('bandLevels(samples, options)', () => {
  it('gives a sine at full scale -3.01 dB in its band', () => {
    const levels = bandLevels(tone(3, { hz: 1000, amplitude: 1 }), { rate_hz: RATE_HZ, width: 'octave' });
    expect(Math.abs(levels.find(({ centre_hz }) => centre_hz === 1000)!.level_db! + 3.01)).toBeLessThan(0.05);
  });

  // White noise of variance v has 2 v B / rate in a band of width B (IEC 61260-1: the effective bandwidth of a class 1 filter is within 0.3 dB of B);
  // three standard deviations of chance, 4.34 / sqrt(B t) dB each, come on top.
  it.each(['octave', 'third-octave'] as const)('gives white noise its share of every %s', (width) => {
    const seconds = 20;
    for (const { centre_hz, level_db } of bandLevels(white(seconds, 0.1, 1), { rate_hz: RATE_HZ, width })) {
      const bandwidth_hz = (width === 'octave' ? 0.704592 : 0.230768) * centre_hz;
      const expected_db = -20 + 10 * Math.log10((2 * bandwidth_hz) / RATE_HZ);
      expect(Math.abs(level_db! - expected_db)).toBeLessThan(0.35 + (3 * 4.34) / Math.sqrt(bandwidth_hz * seconds));
    }
  });

  it('has no level for a band that rate or length do not hold, nor for silence', () => {
    const low = bandLevels(white(20, 0.1, 2).subarray(0, 16_000), { rate_hz: 8000, width: 'octave' });
    expect(low.map(({ level_db }) => level_db !== null)).toEqual([false, true, true, true, true, true, false, false]);
    expect(bandLevels(new Float64Array(5 * RATE_HZ), { rate_hz: RATE_HZ, width: 'octave' })[4]!.level_db).toBeNull();
  });
});

describe('readCalibration(samples, options)', () => {
  // IEC 60942: calibrators give 94 or 114 dB at 1 kHz, some at 250 Hz. A sine of amplitude a has the mean square a^2 / 2.
  it.each([
    [1000, 94],
    [250, 114],
  ])('finds a tone of %d Hz and %d dB among handling noise', (hz, level_db) => {
    const samples = white(12, 1e-4, 3);
    tone(5, { hz, amplitude: 0.1 }).forEach((x, n) => {
      samples[n + 4 * RATE_HZ]! += x;
    });
    for (let n = 0; n < RATE_HZ; n += 1) samples[n + RATE_HZ]! *= 3000;
    const read = readCalibration(samples, { rate_hz: RATE_HZ, level_db });
    if (!read.ok) throw new Error(read.reason);
    expect(Math.abs(read.frequency_hz / hz - 1)).toBeLessThan(1e-3);
    expect(Math.abs(read.tone_db + 23.01)).toBeLessThan(0.05);
    expect(Math.abs(read.offset_db - (level_db + 23.01))).toBeLessThan(0.05);
    expect(read.seconds).toBeGreaterThan(4.5);
  });

  it.each([
    ['noise', white(6, 0.1, 4), 'one tone'],
    ['a tone that is too short', tone(1, { hz: 1000, amplitude: 0.1 }), 'steady for 2 s'],
    ['a clipped tone', tone(6, { hz: 1000, amplitude: 3 }).map((x) => Math.max(-1, Math.min(1, x))), 'clipped'],
    ['silence', new Float64Array(6 * RATE_HZ), 'steady for 2 s'],
  ])('refuses %s', (_, samples, words) => {
    expect(readCalibration(samples, { rate_hz: RATE_HZ, level_db: 94 })).toMatchObject({
      ok: false,
      reason: expect.stringContaining(words),
    });
  });
});

describe('noise targets', () => {
  // Curve NR 25 as handbooks print it (after ISO/R 1996:1971; from memory), rounded to a tenth.
  it.each([
    [63, 55.2],
    [125, 43.7],
    [250, 35.2],
    [500, 29.2],
    [1000, 25],
    [2000, 21.9],
    [4000, 19.5],
    [8000, 17.7],
  ])('puts NR 25 at %d Hz at %d dB', (hz, db) => {
    expect(Math.abs(noiseRatingCurve_db(25, hz)! - db)).toBeLessThanOrEqual(0.0501);
  });

  it('rates a spectrum by the octave that touches the highest curve', () => {
    const curve = [63, 125, 250, 500, 1000, 2000, 4000, 8000].map((hz) => ({
      centre_hz: hz,
      level_db: noiseRatingCurve_db(20, hz)!,
    }));
    expect(noiseRating(curve)!.rating).toBe(20);
    const humming = curve.map(({ centre_hz, level_db }) => ({
      centre_hz,
      level_db: centre_hz === 125 ? level_db + 8.7 : level_db,
    }));
    expect(noiseRating(humming)).toEqual({ rating: 30, decided_by_hz: 125 });
    expect(noiseRating(curve.filter(({ centre_hz }) => centre_hz !== 500))).toBeNull();
  });

  // IEC 61672-1:2013, Table 3 (from memory): -16.1 dB at 125 Hz, +1.2 dB at 2 kHz.
  it('weights octaves A', () => {
    const only = (hz: number) =>
      [125, 250, 500, 1000, 2000].map((centre_hz) => ({ centre_hz, level_db: centre_hz === hz ? 60 : -60 }));
    expect(aWeighted_db(only(125))).toBeCloseTo(43.9, 3);
    expect(aWeighted_db(only(2000))).toBeCloseTo(61.2, 3);
    expect(aWeighted_db([{ centre_hz: 1000, level_db: 40 }])).toBeNull();
  });

  it('has the figures of the documents, and none where none is known', () => {
    // ITU-R BS.1116-3 and EBU Tech 3276: NR 10, not above NR 15. ANSI/ASA S12.60-2010, part 1: 35 dB(A).
    expect(noiseTarget('mixing')).toMatchObject({ unit: 'NR', most: 15, preferred: 10 });
    expect(noiseTarget('classroom')).toMatchObject({ unit: 'dBA', most: 35 });
    expect(noiseTarget('meeting')).toBeNull();
  });
});

describe('readBackground(samples, options)', () => {
  it('sets octave levels against the direct sound and, with a calibration, against 20 uPa', () => {
    const samples = white(10, 1e-3, 5);
    // Direct sound of mean square 0.01 over 5 ms.
    const read = readBackground(samples, { rate_hz: RATE_HZ, direct: 0.01 * 0.005, offset_db: 117 })!;
    const octave = read.octaves.find(({ centre_hz }) => centre_hz === 1000)!;
    const expected_db = -60 + 10 * Math.log10((2 * 704.592) / RATE_HZ);
    expect(Math.abs(octave.level_db! - expected_db)).toBeLessThan(0.5);
    expect(octave.relative_db! - octave.level_db!).toBeCloseTo(20, 6);
    expect(octave.pressure_level_db! - octave.level_db!).toBeCloseTo(117, 6);
    expect(read.steady).toBe(true);
    // White noise of this level: 8 kHz octave at -60 + 10 lg(2 * 5596.8 / 32000) + 117 = 52.4 dB, NR (52.4 + 8) / 1.03 = 58.7.
    expect(read.noise_rating).toEqual({ rating: 59, decided_by_hz: 8000 });
  });

  it('has nothing absolute without a calibration, and nothing relative without claps', () => {
    const read = readBackground(white(6, 1e-3, 6), { rate_hz: RATE_HZ, direct: null, offset_db: null })!;
    expect([
      read.level_dba,
      read.noise_rating,
      read.octaves[4]!.relative_db,
      read.octaves[4]!.pressure_level_db,
    ]).toEqual([null, null, null, null]);
  });

  it('says when something passed by, and refuses less than five seconds', () => {
    const samples = white(8, 1e-3, 7);
    for (let n = 0; n < RATE_HZ; n += 1) samples[3 * RATE_HZ + n]! *= 5;
    expect(readBackground(samples, { rate_hz: RATE_HZ, direct: null, offset_db: null })!.steady).toBe(false);
    expect(
      readBackground(samples.subarray(0, 4 * RATE_HZ), { rate_hz: RATE_HZ, direct: null, offset_db: null }),
    ).toBeNull();
  });
});
