/**
 * Probabilities corrected for the number of looks, in the order given (Holm, Scandinavian Journal of Statistics 6 (1979) 65-70):
 * sorted from the smallest, the k-th of m is multiplied by m - k + 1, held non-decreasing and at most 1.
 * A claim made where the corrected value is under 0.05 is false in at most 5 % of families of looks.
 */
export function holm(p_values: readonly number[]): number[] {
  const order = p_values.map((p, index) => ({ p, index })).sort((a, b) => a.p - b.p);
  const corrected = new Array<number>(p_values.length);
  let largest = 0;
  order.forEach(({ p, index }, rank) => {
    largest = Math.max(largest, Math.min(1, p * (p_values.length - rank)));
    corrected[index] = largest;
  });
  return corrected;
}
