/** A straight line fitted by least squares, with the squared correlation. */
export interface Line {
  slope: number;
  intercept: number;
  /** Squared coefficient of correlation, 0 to 1. */
  r_squared: number;
}

/**
 * Least-squares line through `y` over `x`.
 *
 * Returns null under two points or where all x are equal.
 */
export function fitLine(x: ArrayLike<number>, y: ArrayLike<number>): Line | null {
  const n = x.length;
  if (n < 2) return null;
  let meanX = 0;
  let meanY = 0;
  for (let i = 0; i < n; i++) {
    meanX += x[i]!;
    meanY += y[i]!;
  }
  meanX /= n;
  meanY /= n;
  let [xx, xy, yy] = [0, 0, 0];
  for (let i = 0; i < n; i++) {
    const dx = x[i]! - meanX;
    const dy = y[i]! - meanY;
    xx += dx * dx;
    xy += dx * dy;
    yy += dy * dy;
  }
  if (xx === 0) return null;
  const slope = xy / xx;
  return { slope, intercept: meanY - slope * meanX, r_squared: yy === 0 ? 1 : (xy * xy) / (xx * yy) };
}

/**
 * The same over evenly spaced x: `start`, `start + step`, and so on.
 *
 * Returns null under two points.
 */
export function fitGridLine(y: ArrayLike<number>, { start, step }: { start: number; step: number }): Line | null {
  const n = y.length;
  if (n < 2) return null;
  const middle = (n - 1) / 2;
  let meanY = 0;
  for (let i = 0; i < n; i++) meanY += y[i]!;
  meanY /= n;
  let [xy, yy] = [0, 0];
  for (let i = 0; i < n; i++) {
    const dy = y[i]! - meanY;
    xy += (i - middle) * dy;
    yy += dy * dy;
  }
  // Sum of squares of n whole numbers about their mean.
  const xx = (n * (n * n - 1)) / 12;
  const slope = xy / xx / step;
  const intercept = meanY - slope * (start + middle * step);
  return { slope, intercept, r_squared: yy === 0 ? 1 : (xy * xy) / (xx * yy) };
}
