import type { Point } from '../../src/room/image-sources.ts';

const SPEED_M_S = 343;
const LEAD_S = 0.01;
const SPAN_S = 0.09;

/**
 * Impulse response of a box by image sources (Allen and Berkley, J. Acoust. Soc. Am. 65, 1979, 943): a band-limited pulse for each
 * image within 90 ms of sound, the direct one of amplitude 1, each face leaving the share `reflection` of the amplitude.
 * `delays_s`: of every image after the direct sound.
 */
export function imageResponse(options: {
  edges_m: Point;
  source: Point;
  microphone: Point;
  reflection: number;
  rate_hz: number;
}): { samples: Float64Array; zero_sample: number; delays_s: number[] } {
  const { edges_m, source, microphone, reflection, rate_hz } = options;
  const axes = edges_m.map((edge_m, axis) => {
    const images: [offset_m: number, bounces: number][] = [];
    for (let period = -8; period <= 8; period++) {
      for (const mirrored of [0, 1]) {
        const place_m = (mirrored ? -source[axis]! : source[axis]!) + 2 * period * edge_m;
        images.push([place_m - microphone[axis]!, Math.abs(period - mirrored) + Math.abs(period)]);
      }
    }
    return images;
  });
  const direct_m = Math.hypot(...source.map((value, axis) => value - microphone[axis]!));
  const delays_s: number[] = [];
  const samples = new Float64Array(Math.round((LEAD_S + SPAN_S) * rate_hz));
  for (const [x, bouncesX] of axes[0]!) {
    for (const [y, bouncesY] of axes[1]!) {
      for (const [z, bouncesZ] of axes[2]!) {
        const path_m = Math.hypot(x, y, z);
        delays_s.push((path_m - direct_m) / SPEED_M_S);
        const at = (LEAD_S + (path_m - direct_m) / SPEED_M_S) * rate_hz;
        addPulse(samples, at, (direct_m / path_m) * reflection ** (bouncesX + bouncesY + bouncesZ));
      }
    }
  }
  return { samples, zero_sample: Math.round(LEAD_S * rate_hz) - 2, delays_s };
}

/** A band-limited pulse at a fractional place: a sinc under a smooth window. */
export function addPulse(inPlace: Float64Array, at: number, amplitude: number): void {
  for (let i = Math.max(0, Math.ceil(at - 60)); i < Math.min(inPlace.length, at + 60); i++) {
    const x = i - at;
    const window = Math.cos((Math.PI * x) / 120) ** 2;
    inPlace[i] = inPlace[i]! + amplitude * window * (x === 0 ? 1 : Math.sin(0.4 * Math.PI * x) / (0.4 * Math.PI * x));
  }
}
