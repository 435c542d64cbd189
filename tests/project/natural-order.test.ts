import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { compareNatural } from '../../src/project/natural-order.ts';

const sorted = (names: string[]): string[] => [...names].sort(compareNatural);

describe('compareNatural', () => {
  test('orders numbers by value, also long ones', () => {
    expect(sorted(['10.wav', '2.wav', '1.wav'])).toEqual(['1.wav', '2.wav', '10.wav']);
    expect(sorted(['99999999999999999999', '100000000000000000000'])).toEqual([
      '99999999999999999999',
      '100000000000000000000',
    ]);
  });

  test('orders everything else by code unit, not by language', () => {
    expect(sorted(['ä', 'z', 'Z', 'a'])).toEqual(['Z', 'a', 'z', 'ä']);
  });

  test('tells names apart that differ in leading zeros only', () => {
    expect(sorted(['1.wav', '01.wav', '001.wav'])).toEqual(['001.wav', '01.wav', '1.wav']);
  });

  test('is a total order: antisymmetric, transitive, and zero for equal names alone', () => {
    const name = fc.string({ unit: fc.constantFrom('0', '1', '2', 'a', '.', '-'), maxLength: 6 });
    fc.assert(
      fc.property(name, name, name, (a, b, c) => {
        expect(Math.sign(compareNatural(a, b))).toBe(-Math.sign(compareNatural(b, a)) + 0);
        expect(compareNatural(a, b) === 0).toBe(a === b);
        if (compareNatural(a, b) < 0 && compareNatural(b, c) < 0) expect(compareNatural(a, c)).toBeLessThan(0);
      }),
      { numRuns: 2000, seed: 1 },
    );
  });
});
