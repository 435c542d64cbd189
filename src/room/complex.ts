/** A complex number. Acoustics of layers needs half a dozen operations, and no more are here. */
export interface Complex {
  re: number;
  im: number;
}

export const complex = (re: number, im = 0): Complex => ({ re, im });
export const add = (a: Complex, b: Complex): Complex => ({ re: a.re + b.re, im: a.im + b.im });
export const multiply = (a: Complex, b: Complex): Complex => ({
  re: a.re * b.re - a.im * b.im,
  im: a.re * b.im + a.im * b.re,
});
export const scale = (a: Complex, factor: number): Complex => ({ re: a.re * factor, im: a.im * factor });

/** a / b. */
export function divide(a: Complex, b: Complex): Complex {
  const size = b.re * b.re + b.im * b.im;
  return { re: (a.re * b.re + a.im * b.im) / size, im: (a.im * b.re - a.re * b.im) / size };
}

/** The root with a real part of zero or more. */
export function squareRoot(a: Complex): Complex {
  const size = Math.hypot(a.re, a.im);
  const re = Math.sqrt(Math.max(0, (size + a.re) / 2));
  const im = Math.sign(a.im || 1) * Math.sqrt(Math.max(0, (size - a.re) / 2));
  return { re, im };
}

/** Tangent, written so that a large imaginary part does not overflow: tends to -i or i. */
export function tangent(a: Complex): Complex {
  if (Math.abs(a.im) > 20) return { re: 0, im: Math.sign(a.im) };
  const below = Math.cos(2 * a.re) + Math.cosh(2 * a.im);
  return { re: Math.sin(2 * a.re) / below, im: Math.sinh(2 * a.im) / below };
}
