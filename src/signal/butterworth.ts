/** Butterworth filters as cascades of second-order sections. */

/**
 * One second-order section, its leading denominator coefficient 1:
 * H(z) = (b0 + b1 z^-1 + b2 z^-2) / (1 + a1 z^-1 + a2 z^-2).
 */
export interface Section {
  b0: number;
  b1: number;
  b2: number;
  a1: number;
  a2: number;
}

interface Complex {
  re: number;
  im: number;
}

function squareRoot({ re, im }: Complex): Complex {
  const modulus = Math.hypot(re, im);
  const root = { re: Math.sqrt((modulus + re) / 2), im: Math.sqrt((modulus - re) / 2) };
  return im < 0 ? { re: root.re, im: -root.im } : root;
}

/** Denominator of the section whose analogue pole is `pole` with its conjugate, by the bilinear transform z = (1 + s)/(1 - s). */
function denominatorOf(pole: Complex): { a1: number; a2: number } {
  const below = (1 - pole.re) ** 2 + pole.im ** 2;
  const real = (1 - pole.re ** 2 - pole.im ** 2) / below;
  const modulusSquared = ((1 + pole.re) ** 2 + pole.im ** 2) / below;
  return { a1: -2 * real, a2: modulusSquared };
}

/**
 * The two band-pass poles that a pole of the low-pass prototype turns into: roots of s^2 - p w s + w0^2
 * with w the (pre-warped) bandwidth. Those with a non-negative imaginary part of the prototype are enough.
 */
function bandpassPoles(prototype: Complex, width: number, centreSquared: number): Complex[] {
  const half = { re: (prototype.re * width) / 2, im: (prototype.im * width) / 2 };
  const root = squareRoot({ re: half.re ** 2 - half.im ** 2 - centreSquared, im: 2 * half.re * half.im });
  return [
    { re: half.re + root.re, im: half.im + root.im },
    { re: half.re - root.re, im: half.im - root.im },
  ];
}

/**
 * Three sections of a band-pass with 6 poles (order 3 in the low-pass prototype), -3.01 dB at both edges and 0 dB at their
 * (warped) geometric mean. Edges in hertz, below half of `rate_hz`.
 *
 * Source: bilinear transform with pre-warped edges (Oppenheim and Schafer, Discrete-Time Signal Processing, chapter 7, from
 * memory). The transform squeezes the lower skirt when the upper edge lies above about a third of the rate, and the poles
 * crowd towards z = 1 when it lies far below: keep the upper edge between 1/24 and 1/4 of the rate, as `BandFilter` does.
 *
 * @throws RangeError where the edges do not satisfy 0 < lower < upper < rate/2, or the poles would be real.
 */
export function butterworthBandpass(options: { lower_hz: number; upper_hz: number; rate_hz: number }): Section[] {
  const { lower_hz, upper_hz, rate_hz } = options;
  if (!(lower_hz > 0 && upper_hz > lower_hz && upper_hz < rate_hz / 2)) {
    throw new RangeError(`band edges ${lower_hz} and ${upper_hz} Hz do not fit a rate of ${rate_hz} Hz`);
  }
  const low = Math.tan((Math.PI * lower_hz) / rate_hz);
  const high = Math.tan((Math.PI * upper_hz) / rate_hz);
  const width = high - low;
  const centreSquared = low * high;
  if (width >= 2 * Math.sqrt(centreSquared)) throw new RangeError('band too wide for sections of conjugate poles');
  const real = bandpassPoles({ re: -1, im: 0 }, width, centreSquared).slice(0, 1);
  const pair = bandpassPoles({ re: -0.5, im: Math.sqrt(0.75) }, width, centreSquared);
  return [...real, ...pair].map((pole) => {
    const { a1, a2 } = denominatorOf(pole);
    const section = { b0: 1, b1: 0, b2: -1, a1, a2 };
    return scaledToUnity(section, Math.atan(Math.sqrt(centreSquared)) / Math.PI);
  });
}

/**
 * Two sections of a high-pass of order 4, -3.01 dB at `corner_hz`.
 * Source: as `butterworthBandpass`.
 *
 * @throws RangeError where the corner does not lie between 0 and half the rate.
 */
export function butterworthHighpass(options: { corner_hz: number; rate_hz: number }): Section[] {
  const { corner_hz, rate_hz } = options;
  if (!(corner_hz > 0 && corner_hz < rate_hz / 2)) {
    throw new RangeError(`corner ${corner_hz} Hz does not fit a rate of ${rate_hz} Hz`);
  }
  const corner = Math.tan((Math.PI * corner_hz) / rate_hz);
  return [Math.PI / 8, (3 * Math.PI) / 8].map((angle) => {
    const pole = { re: -corner * Math.cos(angle), im: corner * Math.sin(angle) };
    return scaledToUnity({ b0: 1, b1: -2, b2: 1, ...denominatorOf(pole) }, 0.5);
  });
}

/** Power gain of a cascade at `frequency`, in cycles a sample. */
export function cascadePower(sections: readonly Section[], frequency: number): number {
  const turn = 2 * Math.PI * frequency;
  const [c1, s1, c2, s2] = [Math.cos(turn), Math.sin(turn), Math.cos(2 * turn), Math.sin(2 * turn)];
  let power = 1;
  for (const { b0, b1, b2, a1, a2 } of sections) {
    const above = (b0 + b1 * c1 + b2 * c2) ** 2 + (b1 * s1 + b2 * s2) ** 2;
    const below = (1 + a1 * c1 + a2 * c2) ** 2 + (a1 * s1 + a2 * s2) ** 2;
    power *= above / below;
  }
  return power;
}

function scaledToUnity(section: Section, frequency: number): Section {
  const gain = 1 / Math.sqrt(cascadePower([section], frequency));
  return { ...section, b0: section.b0 * gain, b1: section.b1 * gain, b2: section.b2 * gain };
}
