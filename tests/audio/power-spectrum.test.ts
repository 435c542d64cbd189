import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../projects/synthesis/random.ts';
import { mainsHum } from '../../src/audio/mains-hum.ts';
import { meanPower_db, powerSpectrum } from '../../src/audio/power-spectrum.ts';
import { spectrumCutoff_hz } from '../../src/audio/spectrum-cutoff.ts';

const rate_hz = 48000;
const noise = (name: string, seconds: number) => {
  const random = seededRandom(name);
  return Float64Array.from({ length: seconds * rate_hz }, () => 0.001 * random.normal());
};
const tones = (samples: Float64Array, frequencies_hz: number[], gain: number) =>
  samples.map((value, i) =>
    frequencies_hz.reduce((sum, hz) => sum + gain * Math.sin((2 * Math.PI * hz * i) / rate_hz), value),
  );

describe('powerSpectrum(stretches)', () => {
  it('has its peak at the tone, and level noise elsewhere', () => {
    const spectrum = powerSpectrum([tones(noise('tone', 1), [1500], 0.1)], { rate_hz, size: 4096 })!;
    expect(spectrum.power.indexOf(Math.max(...spectrum.power)) * spectrum.step_hz).toBeCloseTo(1500, 0);
    expect(Math.abs(meanPower_db(spectrum, 3000, 8000) - meanPower_db(spectrum, 12000, 20000))).toBeLessThan(1);
  });

  it('is null where no stretch is long enough', () => {
    expect(powerSpectrum([new Float64Array(1000)], { rate_hz, size: 4096 })).toBeNull();
  });
});

describe('mainsHum(quiet)', () => {
  const harmonics = (mains_hz: number) => [1, 2, 3, 4, 5].map((h) => h * mains_hz);

  it('tells 50 Hz from 60 Hz, also where the mains run slow', () => {
    for (const mains_hz of [50, 60]) {
      const found = mainsHum([tones(noise('hum', 3), harmonics(mains_hz * 0.997), 0.0005)], rate_hz);
      expect(found?.mains_hz).toBe(mains_hz);
      expect(found!.lift_db).toBeGreaterThan(10);
    }
  });

  it('finds none in noise, nor in tones that are no harmonics', () => {
    expect(mainsHum([noise('plain', 3)], rate_hz)).toBeNull();
    expect(mainsHum([tones(noise('tones', 3), [77, 133, 219, 341], 0.0005)], rate_hz)).toBeNull();
  });
});

describe('spectrumCutoff_hz(samples)', () => {
  it('is null for noise, and for noise that falls gently', () => {
    const plain = noise('gentle', 2);
    let low = 0;
    const gentle = plain.map((value) => {
      low += 0.3 * (value - low);
      return low;
    });
    expect(spectrumCutoff_hz(plain, rate_hz)).toBeNull();
    expect(spectrumCutoff_hz(gentle, rate_hz)).toBeNull();
  });
});
