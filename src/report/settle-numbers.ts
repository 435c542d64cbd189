/** What is kept of a number: far finer than any uncertainty here, and coarse enough to be free of rounding noise. */
const SIGNIFICANT_DIGITS = 7;
/** Powers of ten up to this one are numbers without an error. */
const LARGEST_EXACT_POWER = 22;
const POWERS = Array.from({ length: LARGEST_EXACT_POWER + 1 }, (_, power) => Number(`1e${power}`));
/** So near to half a step a product may have been rounded over it. */
const NEAR_HALF = 1e-6;

/** The same data with every number rounded to seven significant digits, so that what is written is what was reckoned with. */
export function settleNumbers<T>(data: T): T {
  if (typeof data === 'number') return settledNumber(data) as T;
  if (Array.isArray(data)) return data.map(settleNumbers) as T;
  if (data === null || typeof data !== 'object') return data;
  // Set by its name alone it would become the prototype; a project file may hold it.
  if (Object.hasOwn(data, '__proto__')) {
    return Object.fromEntries(Object.entries(data).map(([key, value]) => [key, settleNumbers(value)])) as T;
  }
  const settled: Record<string, unknown> = {};
  for (const key of Object.keys(data)) settled[key] = settleNumbers((data as Record<string, unknown>)[key]);
  return settled as T;
}

/**
 * What `Number(value.toPrecision(7))` gives, without the way over text where there is another: a whole number of seven digits
 * divided by a power of ten that is exact is the number nearest to that decimal, as reading the text would find it.
 */
function settledNumber(value: number): number {
  if (Number.isInteger(value)) return value;
  const places = SIGNIFICANT_DIGITS - 1 - Math.floor(Math.log10(Math.abs(value)));
  if (places >= 0 && places <= LARGEST_EXACT_POWER) {
    const scaled = value * POWERS[places]!;
    const whole = Math.round(scaled);
    const tie = Math.abs(Math.abs(scaled - whole) - 0.5) < NEAR_HALF;
    const size = Math.abs(whole);
    if (!tie && size >= 1e6 && size < 1e7) return whole / POWERS[places]!;
  }
  return Number(value.toPrecision(SIGNIFICANT_DIGITS));
}
