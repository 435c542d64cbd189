/** What is kept of a number: far finer than any uncertainty here, and coarse enough to be free of rounding noise. */
const SIGNIFICANT_DIGITS = 7;

/** The same data with every number rounded to seven significant digits, so that what is written is what was reckoned with. */
export function settleNumbers<T>(data: T): T {
  if (typeof data === 'number') {
    return (Number.isInteger(data) ? data : Number(data.toPrecision(SIGNIFICANT_DIGITS))) as T;
  }
  if (Array.isArray(data)) return data.map(settleNumbers) as T;
  if (data === null || typeof data !== 'object') return data;
  return Object.fromEntries(Object.entries(data).map(([key, value]) => [key, settleNumbers(value)])) as T;
}
