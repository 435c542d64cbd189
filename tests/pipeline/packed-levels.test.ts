import fc from 'fast-check';
import { expect, test } from 'vitest';
import { packed, unpacked } from '../../pipeline/packed-levels.ts';

test('levels come back as they were, to a thousandth of a decibel, and what is beside them untouched', () => {
  const level = fc.double({ min: -1000, max: 1000, noNaN: true });
  fc.assert(
    fc.property(fc.array(level, { maxLength: 500 }), (level_db) => {
      const back = unpacked(JSON.parse(JSON.stringify(packed({ level_db, step_s: 0.1 }))));
      expect(back).toEqual({ step_s: 0.1, level_db: level_db.map((one) => Math.round(one * 1000) / 1000 + 0) });
    }),
  );
});
