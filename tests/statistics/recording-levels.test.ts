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
    const read = { centre_hz: 1000, tfull_s: 0.4, late_level_db: 1, range_db: 50 };
    expect(bandNoise_db(bandReading(read), -40)).not.toBeNull();
    for (const missing of ['tfull_s', 'late_level_db', 'range_db']) {
      expect(bandNoise_db(bandReading({ ...read, [missing]: null }), -40)).toBeNull();
    }
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

describe('limits of gainShift', () => {
  // scipy.stats.ttest_ind(equal_var=False): 8.75 dB apart, p 0.00017130478, half-width of the 95 % interval 2.68160 dB.
  const BEFORE_DB = [-45, -44, -47, -43];
  const AFTER_DB = [-37, -36, -34, -38, -35];
  const P_VALUE = 0.00017130478229877656;

  /** Claps of these levels over noise that rises from -100 dB by as much as told, octave by octave. */
  function over(
    rises_db: readonly number[],
    before_db = BEFORE_DB,
    after_db = AFTER_DB,
    position = 'A',
  ): RecordedClap[] {
    const clap = (stage: string, direct_db: number, noises_db: readonly number[]): RecordedClap => {
      const bands = noises_db.map((noise_db, b) => {
        const read = { centre_hz: BANDS_HZ[b]!, tfull_s: 0.4, late_level_db: 0 };
        const start_db = bandNoise_db(bandReading({ ...read, range_db: 0 }), direct_db)!;
        return bandReading({ ...read, range_db: start_db - noise_db });
      });
      return { stage, position, direct_db, direct_spectrum_db: null, bands };
    };
    return [
      ...before_db.map((level) =>
        clap(
          'bare',
          level,
          rises_db.map(() => -100),
        ),
      ),
      ...after_db.map((level) =>
        clap(
          'treated',
          level,
          rises_db.map((rise) => rise - 100),
        ),
      ),
    ];
  }
  const even = (rise_db: number, bands = 4) => Array.from({ length: bands }, () => rise_db);
  // Mean levels differ by -36 less -44.75 dB.
  const RISE_DB = 8.75;

  it('divides the probability by the looks: called until it reaches 0.005', () => {
    const most = 0.005 / P_VALUE;
    const found = gainShift(over(even(9)), { ...PAIR, looks: most * 0.999999 })!;
    expect(found.noise_db).toBeCloseTo(9, 9);
    expect(found.direct_db).toBeCloseTo(RISE_DB, 9);
    expect(gainShift(over(even(9)), { ...PAIR, looks: most * 1.000001 })).toBeNull();
  });

  it('takes noise and claps to rise alike within the 95 % interval of the claps', () => {
    const half_db = 2.6815990879789053;
    for (const side of [-1, 1]) {
      expect(gainShift(over(even(RISE_DB + side * half_db * 0.9999)), PAIR)).not.toBeNull();
      expect(gainShift(over(even(RISE_DB + side * half_db * 1.0001)), PAIR)).toBeNull();
    }
  });

  it('leaves less than 3 dB alone, up or down', () => {
    for (const sign of [-1, 1]) {
      const levels = [BEFORE_DB, BEFORE_DB.map((level) => level * 0.01 + sign * 3)] as const;
      const [before_db, after_db] = [levels[0].map((level) => level * 0.01), levels[1]];
      expect(gainShift(over(even(sign * 3.001), before_db, after_db), PAIR)).not.toBeNull();
      expect(gainShift(over(even(sign * 2.999), before_db, after_db), PAIR)).toBeNull();
    }
  });

  it('asks for four octaves that rise alike, within a standard deviation of 1.5 dB', () => {
    expect(gainShift(over(even(9, 3)), PAIR)).toBeNull();
    // Two d above and two below the mean have a standard deviation of d times the root of 4/3.
    const spread = (deviation_db: number) => [1, 1, -1, -1].map((side) => 9 + side * deviation_db * Math.sqrt(3 / 4));
    expect(gainShift(over(spread(1.499)), PAIR)).not.toBeNull();
    expect(gainShift(over(spread(1.501)), PAIR)).toBeNull();
  });

  it('counts only positions that both stages share, and only octaves', () => {
    const found = gainShift(over(even(9)), PAIR);
    const elsewhere = over(even(40), [0, -90], [-10, -99], 'B');
    const thirds = over(even(9)).map((clap) => ({
      ...clap,
      bands: [...clap.bands.map((band) => ({ ...band, width: 'third-octave' as const, range_db: 5 })), ...clap.bands],
    }));
    expect(gainShift([...over(even(9)), ...elsewhere.filter(({ stage }) => stage === 'bare')], PAIR)).toEqual(found);
    expect(gainShift([...over(even(9)), ...elsewhere.filter(({ stage }) => stage === 'treated')], PAIR)).toEqual(found);
    expect(gainShift(thirds, PAIR)).toEqual(found);
  });

  it('leaves out an octave that one stage did not read', () => {
    const rises = over(even(9, 5)).map((clap) =>
      clap.stage === 'bare' ? clap : { ...clap, bands: clap.bands.slice(0, 4) },
    );
    expect(gainShift(rises, PAIR)!.noise_db).toBeCloseTo(9, 9);
  });

  it('says nothing from one clap a stage, nor where claps do not scatter at all', () => {
    expect(gainShift(over(even(9), [-45], AFTER_DB), PAIR)).toBeNull();
    expect(gainShift(over(even(9), BEFORE_DB, [-36]), PAIR)).toBeNull();
    expect(gainShift(over(even(9), [-45, -45], [-36, -36]), PAIR)).toBeNull();
    expect(gainShift(over(even(9), [-45, -44.9], [-36, -35.9]), PAIR)).not.toBeNull();
  });
});

describe('limits of colourShift', () => {
  // scipy.stats.ttest_ind(equal_var=False): p 0.000657076407.
  const BEFORE_DB = [-6, -7, -5, -8];
  const AFTER_DB = [-11, -13, -12, -10.5, -12.5];
  const coloured = (stage: string, spectra: readonly (readonly number[] | null)[], position = 'A') =>
    spectra.map(
      (direct_spectrum_db): RecordedClap => ({ stage, position, direct_db: -40, direct_spectrum_db, bands: [] }),
    );
  /** Spectra of two octaves: the first as it was but for its scatter, the second as told. */
  const two = (levels_db: readonly number[]) => levels_db.map((level, i) => [-3 + (i % 2), level]);
  const claps = [...coloured('bare', two(BEFORE_DB)), ...coloured('treated', two(AFTER_DB))];

  it('divides the probability by looks and octaves: called until it reaches 0.005', () => {
    const most = 0.005 / (0.000657076407066494 * 2);
    const found = colourShift(claps, { ...PAIR, looks: most * 0.999999 })!;
    expect(found.octave).toBe(1);
    expect(found.shift_db).toBeCloseTo(-5.3, 9);
    expect(colourShift(claps, { ...PAIR, looks: most * 1.000001 })).toBeNull();
  });

  it('names the octave that differs most, claps whose colour was not read left out', () => {
    const steady = [0.1, -0.1, 0.1, -0.1];
    const before = steady.map((scatter) => [scatter, scatter, scatter]);
    const after = steady.map((scatter) => [5 + scatter, -9 + scatter, 7 + scatter]);
    const all = [...coloured('bare', [null, ...before]), ...coloured('treated', [...after, null])];
    expect(colourShift(all, PAIR)).toMatchObject({ octave: 1 });
    expect(
      colourShift(
        all.map((clap) => ({ ...clap, direct_spectrum_db: null })),
        PAIR,
      ),
    ).toBeNull();
  });

  it('leaves less than 4 dB alone, however sure', () => {
    const steady = [0.001, -0.001, 0.001, -0.001];
    const shifted = (by_db: number) => [
      ...coloured(
        'bare',
        steady.map((scatter) => [scatter]),
      ),
      ...coloured(
        'treated',
        steady.map((scatter) => [by_db + scatter]),
      ),
    ];
    expect(colourShift(shifted(4.01), PAIR)!.shift_db).toBeCloseTo(4.01, 9);
    expect(colourShift(shifted(-4.01), PAIR)!.shift_db).toBeCloseTo(-4.01, 9);
    expect(colourShift(shifted(3.99), PAIR)).toBeNull();
  });
});
