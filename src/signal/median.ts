/** Middle value, or the mean of the two middle ones; NaN for none. */
export function median(values: readonly number[]): number {
  // Up to three without sorting: some ask this for two or three claps, cell by cell.
  const a = values[0] ?? 0;
  if (values.length === 1) return a;
  const b = values[1] ?? 0;
  if (values.length === 2) return (a + b) / 2;
  if (values.length === 3) return Math.max(Math.min(a, b), Math.min(Math.max(a, b), values[2]!));
  const sorted = Float64Array.from(values).sort();
  const middle = sorted.length / 2;
  return sorted.length % 2 === 1 ? sorted[Math.floor(middle)]! : (sorted[middle - 1]! + sorted[middle]!) / 2;
}
