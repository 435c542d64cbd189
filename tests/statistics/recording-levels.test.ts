import { describe, expect, it } from 'vitest';
import { bandNoise_db, colourShift, gainShift, type RecordedClap } from '../../src/statistics/recording-levels.ts';
import { bandReading } from '../bench/coverage-drawn.ts';
import { SeededRandom } from '../bench/coverage-random.ts';

const BANDS_HZ = [250, 500, 1000, 2000, 4000];
const PAIR = { from: 'bare', to: 'treated', looks: 1 };

interface Recorded {
  gain_db?: number;
  /** Rise of the noise by octave, and of the direct sound at 8 kHz. */
  noise_db?: readonly number[];
  treble_db?: number;
}

/** Claps as strong as people clap, 2 dB about, over noise as even as a quiet room's; those of the second stage as told. */
function claps(
  random: SeededRandom,
  { gain_db = 0, noise_db = [0, 0, 0, 0, 0], treble_db = 0 }: Recorded = {},
): RecordedClap[] {
  return ['bare', 'treated'].flatMap((stage) =>
    Array.from({ length: 8 }, (_, i): RecordedClap => {
      const after = stage === 'treated';
      const direct_db = -45 + 2 * random.normal() + (after ? gain_db : 0);
      const bands = BANDS_HZ.map((centre_hz, b) => {
        const noise = -100 + 0.3 * random.normal() + (after ? gain_db + noise_db[b]! : 0);
        const [tfull_s, late_level_db] = after ? [0.35, -3] : [0.5, 0];
        const rate = Math.log(1e6) / tfull_s;
        const start_db = direct_db + late_level_db + (10 / Math.LN10) * (Math.log(rate) + 0.02 * rate);
        return bandReading({ centre_hz, tfull_s, late_level_db, range_db: start_db - noise });
      });
      const colour = [0, 0, 0, after ? treble_db : 0].map((shift) => -6 + shift + 1.5 * random.normal());
      return { stage, position: `P${i % 2}`, direct_db, direct_spectrum_db: colour, bands };
    }),
  );
}

describe('bandNoise_db(band, direct_db)', () => {
  it('finds the noise under a decay whose energy from 20 ms on is known: A T / 13.8 exp(-13.8 x 0.02 / T)', () => {
    const [start, tfull_s, noise] = [3, 0.4, 1e-5];
    const rate = Math.log(1e6) / tfull_s;
    const late = (start / rate) * Math.exp(-rate * 0.02);
    const band = bandReading({
      centre_hz: 1000,
      tfull_s,
      late_level_db: 10 * Math.log10(late / 0.5),
      range_db: 10 * Math.log10(start / noise),
    });
    expect(bandNoise_db(band, 10 * Math.log10(0.5))).toBeCloseTo(-50, 9);
  });

  it('is null where the decay was not read', () => {
    expect(bandNoise_db(bandReading({ centre_hz: 1000, late_level_db: 1, range_db: 50 }), -40)).toBeNull();
  });
});

describe('gainShift(claps, pair)', () => {
  it('tells a gain raised by 8 dB: noise and claps rise alike', () => {
    const found = gainShift(claps(new SeededRandom(31), { gain_db: 8 }), PAIR);
    expect(Math.abs(found!.noise_db - 8)).toBeLessThan(0.5);
    expect(Math.abs(found!.direct_db - 8)).toBeLessThan(3);
  });

  it('is silent where only the noise rose, or only the claps were stronger', () => {
    const random = new SeededRandom(32);
    expect(gainShift(claps(random, { noise_db: [8, 8, 8, 8, 8] }), PAIR)).toBeNull();
    const stronger = claps(random).map((clap) => {
      if (clap.stage === 'bare') return clap;
      const bands = clap.bands.map((band) => ({ ...band, range_db: band.range_db! + 8 }));
      return { ...clap, direct_db: clap.direct_db + 8, bands };
    });
    expect(gainShift(stronger, PAIR)).toBeNull();
  });

  it('is silent where the noise changed its colour: a fan, not a gain', () => {
    expect(gainShift(claps(new SeededRandom(33), { gain_db: 2, noise_db: [9, 6, 4, 1, 0] }), PAIR)).toBeNull();
  });

  it('names nothing in 1000 projects of one gain', () => {
    const random = new SeededRandom(34);
    let named = 0;
    for (let i = 0; i < 1000; i++) if (gainShift(claps(random), PAIR) !== null) named++;
    expect(named).toBe(0);
  });
});

describe('colourShift(claps, pair)', () => {
  it('tells a microphone that loses 8 dB at 8 kHz', () => {
    const found = colourShift(claps(new SeededRandom(35), { treble_db: -8 }), PAIR);
    expect(found).toMatchObject({ from: 'bare', to: 'treated', octave: 3 });
    expect(Math.abs(found!.shift_db + 8)).toBeLessThan(2);
  });

  it('names fewer than 1 % of 1000 projects of one microphone', () => {
    const random = new SeededRandom(36);
    let named = 0;
    for (let i = 0; i < 1000; i++) if (colourShift(claps(random), PAIR) !== null) named++;
    expect(named).toBeLessThan(10);
  });
});
