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
