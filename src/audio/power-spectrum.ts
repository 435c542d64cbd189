import { PowerSum } from '../signal/fft.ts';

/** Mean power in each bin of a transform; bin k stands for k * step_hz. */
export interface PowerSpectrum {
  step_hz: number;
  power: Float64Array;
}

/** Hann windows of the few sizes that are used. */
const windows = new Map<number, Float64Array>();

function hannWindow(size: number): Float64Array {
  const known = windows.get(size);
  if (known) return known;
  const made = new Float64Array(size);
  for (let i = 0; i < size; i++) made[i] = 0.5 - 0.5 * Math.cos((2 * Math.PI * i) / size);
  windows.set(size, made);
  return made;
}

/**
 * Power spectrum by averaging over half-overlapping stretches under a Hann window (Welch 1967). Only the shape is meant to
 * be read: the scale is arbitrary, though the same for all calls of one size.
 *
 * @param stretches signals to average over; those shorter than `size` are left out
 * @param options.size samples a stretch, a power of two
 * @param options.hop samples from one stretch to the next: half a stretch, or more to save time
 * @returns null where no stretch is long enough
 */
export function powerSpectrum(
  stretches: Float64Array[],
  { rate_hz, size, hop = size / 2 }: { rate_hz: number; size: number; hop?: number },
): PowerSpectrum | null {
  const window = hannWindow(size);
  const sum = new PowerSum(size);
  let count = 0;
  for (const samples of stretches) {
    for (let at = 0; at + size <= samples.length; at += 2 * hop) {
      const second = at + hop + size <= samples.length ? at + hop : null;
      sum.add(samples, window, [at, second]);
      count += second === null ? 1 : 2;
    }
  }
  if (count === 0) return null;
  return { step_hz: rate_hz / size, power: sum.power.map((value) => value / count) };
}

/** Mean power of the bins from one frequency to another, in dB on the scale of the spectrum; -Infinity where there is none. */
export function meanPower_db({ step_hz, power }: PowerSpectrum, from_hz: number, to_hz: number): number {
  const first = Math.max(1, Math.ceil(from_hz / step_hz));
  const last = Math.min(power.length - 1, Math.floor(to_hz / step_hz));
  let sum = 0;
  for (let bin = first; bin <= last; bin++) sum += power[bin]!;
  return last < first ? Number.NEGATIVE_INFINITY : 10 * Math.log10(sum / (last - first + 1));
}
