/**
 * Compares two names the way people number files: runs of digits by value, everything else by code unit, so that
 * `2.wav` stands before `10.wav` on every machine, whatever its language. Returns a negative number, zero or a positive
 * number, as `Array.prototype.sort` wants. Names that differ in leading zeros only are ordered by code unit.
 */
export function compareNatural(a: string, b: string): number {
  const partsA = a.match(PARTS) ?? [];
  const partsB = b.match(PARTS) ?? [];
  const shared = Math.min(partsA.length, partsB.length);
  for (let i = 0; i < shared; i++) {
    const difference = compareParts(partsA[i]!, partsB[i]!);
    if (difference !== 0) return difference;
  }
  return partsA.length - partsB.length || compareCodeUnits(a, b);
}

const PARTS = /[0-9]+|[^0-9]+/g;
const DIGITS = /^[0-9]/;

function compareParts(a: string, b: string): number {
  if (!DIGITS.test(a) || !DIGITS.test(b)) return compareCodeUnits(a, b);
  const digitsA = a.replace(/^0+/, '');
  const digitsB = b.replace(/^0+/, '');
  return digitsA.length - digitsB.length || compareCodeUnits(digitsA, digitsB);
}

function compareCodeUnits(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
