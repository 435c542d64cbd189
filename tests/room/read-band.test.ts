import { expect, test } from 'vitest';
import { refusedBand } from '../../src/room/read-band.ts';
import { bandsOf } from '../../src/signal/bands.ts';

const [band] = bandsOf('octave');

test('a range without end, of a decay into nothing but zeros, is no number', () => {
  const ranges = [61.5, null, Number.POSITIVE_INFINITY].map((range_db) => refusedBand(band!, 'why', range_db).range_db);
  expect(ranges).toEqual([61.5, null, null]);
});
