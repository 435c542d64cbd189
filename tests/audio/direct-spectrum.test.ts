import { describe, expect, it } from 'vitest';
import { directSpectrum_db } from '../../src/audio/direct-spectrum.ts';

const RATE_HZ = 48_000;

describe('directSpectrum_db(samples, rate_hz, zero_sample)', () => {
  it('gives a single sample, whose spectrum is flat, 3 dB more in each octave than in the one below', () => {
    const samples = new Float64Array(1000);
    samples[100] = 0.7;
    const levels = directSpectrum_db(samples, RATE_HZ, 100)!;
    const shares = [1, 2, 4, 8].map((width) => 10 * Math.log10(width / 15));
    levels.forEach((level, i) => {
      expect(Math.abs(level - shares[i]!)).toBeLessThan(0.3);
    });
  });

  it('does not depend on the level, nor on what comes later than 5 ms', () => {
    const samples = Float64Array.from({ length: 1000 }, (_, i) => Math.sin(i * i * 0.37) * Math.exp(-i / 50));
    const louder = samples.map((value, i) => (i < 240 ? 3 * value : 100));
    const [one, other] = [samples, louder].map((each) => directSpectrum_db(each, RATE_HZ, 0)!);
    one!.forEach((level, i) => {
      expect(level).toBeCloseTo(other![i]!, 9);
    });
  });

  it('is null for silence, at a rate that holds no 8 kHz octave, and where the response stops too soon', () => {
    expect(directSpectrum_db(new Float64Array(1000), RATE_HZ, 0)).toBeNull();
    expect(directSpectrum_db(new Float64Array(1000).fill(0.1), 16_000, 0)).toBeNull();
    expect(directSpectrum_db(new Float64Array(1000).fill(0.1), RATE_HZ, 900)).toBeNull();
  });
});
