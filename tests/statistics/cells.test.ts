import { expect, test } from 'vitest';
import type { BandQuantity, BandReading, TwoSlopes } from '../../src/room/reading.ts';
import { type Cell, gatherCell, type ReadingAt, stageReadings } from '../../src/statistics/cells.ts';
import { noiseShare } from '../../src/statistics/noise-share.ts';
import { reading } from './readings.ts';

const READ = { centre_hz: 500, tfull_s: 0.4, tfull_standard_error_s: 0.01 };

/** The cell of the octave of 500 Hz before. */
function cellOf(readings: readonly ReadingAt[], quantity: BandQuantity = 'tfull_s'): Cell {
  return gatherCell(stageReadings(readings, { stage: 'before', width: 'octave', decays: 10 }), quantity, 500);
}

function at(position: string, band: Partial<BandReading> = {}, take = position): ReadingAt {
  return reading({ position, take }, { ...READ, ...band });
}

test('a cell holds the places of its stage in order of their names, and nothing of another stage', () => {
  const names = ['C', 'A', 'a', 'B', 'A'];
  const readings = [...names.map((name, i) => at(name, {}, `${i}`)), { ...at('D'), stage: 'after' }];
  const cell = cellOf(readings);
  expect(cell.places.map(({ position }) => position)).toEqual(['A', 'B', 'C', 'a']);
  expect(cell.places.map(({ responses }) => responses)).toEqual([2, 1, 1, 1]);
  expect([cell.looked_at, cell.responses]).toEqual([5, 5]);
  for (const order of [
    [4, 3, 2, 1, 0],
    [2, 0, 4, 1, 3],
  ]) {
    expect(cellOf(order.map((i) => readings[i]!))).toEqual(cell);
  }
});

test('a decay time is averaged as a logarithm too, and its repeats scatter about that mean', () => {
  const [place] = cellOf([at('A', { tfull_s: 0.2 }, '1'), at('A', { tfull_s: 0.8 }, '2')]).places;
  expect(place!.mean).toBeCloseTo(0.5, 12);
  expect(Math.exp(place!.work_mean)).toBeCloseTo(0.4, 12); // geometric mean
  expect(place!.within).toBeCloseTo(2 * Math.log(2) ** 2, 12);
  expect(place!.floor).toBeCloseTo((0.05 ** 2 + 0.0125 ** 2) / 2, 12);
});

test('only of the full-range time is a share of the floor noise, and only where the range is known', () => {
  const share = (band: Partial<BandReading>, quantity: 'tfull_s' | 't20_s' = 'tfull_s') =>
    cellOf([at('A', band)], quantity).places[0]!.noise_share;
  expect(share({ range_db: 40 })).toBe(noiseShare(40));
  expect(share({ range_db: 40 })).toBeGreaterThan(0.01);
  expect(share({ range_db: null })).toBe(0);
  expect(share({ range_db: 40, t20_s: 0.4 }, 't20_s')).toBe(0);
});

test('a response without a value counts as looked at, with its reason or that there was none', () => {
  const other = { ...at('B'), bands: [] };
  const cell = cellOf([
    at('A', { tfull_s: null, refusals: { tfull_s: 'too short' } }),
    other,
    at('C', { tfull_s: null }),
    at('D'),
  ]);
  expect([...cell.refusals]).toEqual([
    ['too short', 1],
    ['the band was not read', 1],
    ['no value could be read', 1],
  ]);
  expect([cell.looked_at, cell.responses]).toEqual([4, 1]);
  expect(cell.places.map(({ position }) => position)).toEqual(['D']);
  expect(cell.stage_positions).toEqual(['A', 'B', 'C', 'D']);
});

test('flags are counted of values that count, and by their words', () => {
  const flags = { tfull_s: 'curved' };
  const refused = at('A', { tfull_s: null, flags }, '3');
  const cell = cellOf([at('A', { flags }, '1'), at('A', { flags }, '2'), refused, at('B')]);
  expect([...cell.flags]).toEqual([['curved', 2]]);
  expect([...cellOf([at('A')]).flags]).toEqual([]);
});

test('two slopes are counted where they took the full-range time away', () => {
  const two_slopes: TwoSlopes = { early_s: 0.2, late_s: 0.6, late_level_db: -20, crossing_s: 0.1 };
  const bands = [{ two_slopes, tfull_s: null }, { two_slopes }, { tfull_s: null }];
  expect(cellOf(bands.map((band, i) => at('A', band, `${i}`))).two_slopes).toBe(1);
});
