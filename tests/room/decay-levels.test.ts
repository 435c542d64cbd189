import { expect, test } from 'vitest';
import { decayLevels } from '../../src/room/decay-levels.ts';
import { bandsOf } from '../../src/signal/bands.ts';
import { decayFromPower, rateOf } from './decay-from-power.ts';

const octave = (hz: number) => bandsOf('octave').find(({ centre_hz }) => centre_hz === hz)!;
const levelsOf = (power: (t: number) => number, hz = 1000, end_s = 1) =>
  decayLevels(decayFromPower(power, { rate_hz: 8000, end_s }), octave(hz));
const NOISE = 1e-5;
const decay = (time_s: number, noise = NOISE) => {
  return (t: number) => Math.exp(-rateOf(time_s) * t) + noise;
};

test.each([
  [1000, 0.005],
  [125, 1.5 / 88],
])('at %d Hz the level falls by 60 dB in a decay time, cell by cell of %f s, the noise taken off', (hz, cell_s) => {
  const found = levelsOf(decay(0.4), hz);
  expect(found.centre_hz).toBe(hz);
  expect(found.cell_s).toBeCloseTo(cell_s, 3);
  // Energy of an exponential from time zero on, in squared amplitude times seconds.
  const k = rateOf(0.4);
  const energy = (1 - Math.exp(-k * found.cell_s)) / k;
  found.level_db.forEach((level, i) => {
    expect(level).toBeCloseTo(10 * Math.log10(energy) - (60 * found.cell_s * i) / 0.4, 1);
  });
});

test('the cells end where four together stand no longer 10 dB over the noise', () => {
  const { level_db, cell_s } = levelsOf(decay(0.4));
  // Decay and noise together are ten times the noise where the decay is nine times.
  const together = (i: number) => {
    const k = rateOf(0.4);
    return (Math.exp(-k * i * cell_s) - Math.exp(-k * (i + 4) * cell_s)) / (4 * k * cell_s);
  };
  let last = 0;
  while (together(last) > 9 * NOISE) last++;
  expect(level_db).toHaveLength(last);
});

test('the noise is that of the last 15 % alone', () => {
  const loud = (t: number) => decay(0.2, 0)(t) + (t < 0.84 ? 100 * NOISE : NOISE);
  const { level_db } = levelsOf(loud);
  expect(level_db.length * 0.005).toBeGreaterThan(0.8);
  const late = levelsOf((t) => decay(0.2, 0)(t) + (t < 0.86 ? NOISE : 100 * NOISE));
  expect(late.level_db.length * 0.005).toBeLessThan(0.15);
});

test('a cell in which next to nothing is left counts with a tenth of what was measured in it', () => {
  const dip = (t: number) => (t > 0.05 && t < 0.055 ? 1.02 * NOISE : decay(0.4)(t));
  expect(levelsOf(dip).level_db[10]).toBeCloseTo(10 * Math.log10(0.1 * 1.02 * NOISE * 0.005), 2);
});

test('three hundred cells at most, less the three that have no three after them; none of noise alone; so too where the samples end before the noise', () => {
  expect(levelsOf(decay(4, 0), 1000, 3).level_db).toHaveLength(297);
  expect(levelsOf(() => NOISE).level_db).toHaveLength(0);
  // Over 0.1 s of a decay of 0.1 s the last 15 % lie 51 dB down and more.
  const cut = levelsOf((t) => (t < 0.085 ? 1 : 1e-3), 1000, 0.1);
  expect(cut.level_db).toHaveLength(17);
});
