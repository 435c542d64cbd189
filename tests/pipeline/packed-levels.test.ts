import fc from 'fast-check';
import { expect, test } from 'vitest';
import { packLevels, unpackLevels } from '../../pipeline/packed-levels.ts';

interface Curve {
  name: string;
  level_db: ArrayLike<number>;
}

/** Some curves with a title, as bytes and back. */
const packedCurves = (title: string, curves: readonly Curve[]) =>
  packLevels((packed) => ({ title, curves: curves.map(packed) }));
const unpackedCurves = (bytes: Uint8Array) =>
  unpackLevels(bytes, ({ title, curves }: { title: string; curves: { name: string; levels: number }[] }, unpacked) => ({
    title,
    curves: curves.map(unpacked),
  }));

const level = fc.double({ min: -1000, max: 1000, noNaN: true });
const curve = fc.record({ name: fc.string({ unit: 'grapheme' }), level_db: fc.array(level, { maxLength: 300 }) });

test('levels come back as they were, to a thousandth of a decibel, and what is beside them untouched', () => {
  fc.assert(
    fc.property(fc.string({ unit: 'grapheme' }), fc.array(curve, { maxLength: 5 }), (title, curves) => {
      const back = unpackedCurves(packedCurves(title, curves));
      expect(back.title).toBe(title);
      expect(back.curves.map(({ name, level_db }) => ({ name, level_db: [...level_db] }))).toEqual(
        curves.map(({ name, level_db }) => ({
          name,
          level_db: level_db.map((one) => Math.round(one * 1000) / 1000 + 0),
        })),
      );
    }),
  );
});

test('bytes may lie anywhere in memory', () => {
  const bytes = packedCurves('title', [{ name: 'one', level_db: [-1.5, -2.25] }]);
  for (const offset of [0, 1, 2, 3]) {
    const inside = new Uint8Array(offset + bytes.length);
    inside.set(bytes, offset);
    expect([...unpackedCurves(inside.subarray(offset)).curves[0]!.level_db]).toEqual([-1.5, -2.25]);
  }
});

test('other bytes are refused', () => {
  const bytes = packedCurves('title', [{ name: 'one', level_db: [-1.5, -2.25] }]);
  for (const other of [new Uint8Array(0), Buffer.from('{"title":""}'), bytes.subarray(0, -1)]) {
    expect(() => unpackedCurves(other)).toThrow();
  }
});
