import { convolve } from '../../src/signal/fft.ts';
import { exponentialSweep, type SweepDescription } from '../../src/signal/sweep.ts';

/** Seeded noise of standard deviation 1 (mulberry32 and Box-Muller). */
export function gaussian(seed: number): () => number {
  let state = seed >>> 0;
  const uniform = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), state | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
  return () => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform());
}

/** A room as a direct sound and, from 3 ms on, noise that decays by 60 dB in `decay_s`; their balance is the same at all rates. */
export function roomResponse(options: {
  rate_hz: number;
  decay_s: number;
  seconds: number;
  seed: number;
}): Float64Array {
  const { rate_hz, decay_s } = options;
  const noise = gaussian(options.seed);
  const response = new Float64Array(Math.round(options.seconds * rate_hz));
  for (let n = Math.round(0.003 * rate_hz); n < response.length; n += 1) {
    response[n] = 0.1 * Math.sqrt(48_000 / rate_hz) * noise() * 10 ** ((-3 * n) / (rate_hz * decay_s));
  }
  response[0] = 1;
  return response;
}

/** Something like talk: noise of falling spectrum that comes in syllables. */
export function talk(seconds: number, rate_hz: number, seed: number): Float64Array {
  const noise = gaussian(seed);
  let slow = 0;
  return Float64Array.from({ length: Math.round(seconds * rate_hz) }, (_, n) => {
    slow += 0.08 * (noise() - slow);
    return (
      0.5 *
      slow *
      Math.max(0, Math.sin((2 * Math.PI * 4 * n) / rate_hz)) *
      (Math.sin((0.7 * n) / rate_hz) > -0.5 ? 1 : 0)
    );
  });
}

export interface Recording {
  description: SweepDescription;
  rate_hz: number;
  seconds: number;
  /** When each sweep's first sample arrives. */
  starts_s: number[];
  /** By how much the recorder's clock runs fast. */
  clock_ppm?: number;
  response: Float64Array;
  /** Level of the second and third harmonics that the loudspeaker adds, share of the amplitude. */
  distortion?: number;
  /** Level of the noise relative to the recorded sweep, dB. */
  noise_db?: number;
  seed: number;
}

/** What a recorder gets when the sweep is played by a loudspeaker that distorts, into a room with noise. */
export function recordSweep(recording: Recording): Float64Array {
  const { description, rate_hz, starts_s } = recording;
  const amplitude = 10 ** (description.level_dbfs / 20);
  const share = recording.distortion ?? 0;
  // sin^2 holds the second harmonic at 1/2, sin^3 the third at 1/4 of its amplitude.
  const played = exponentialSweep(description, { rate_hz, stretch: 1 + (recording.clock_ppm ?? 0) * 1e-6 }).map((x) => {
    return x + 2 * share * (x ** 2 / amplitude) + 4 * share * (x ** 3 / amplitude ** 2);
  });
  const heard = convolve(played, recording.response);
  const samples = new Float64Array(Math.round(recording.seconds * rate_hz));
  for (const start_s of starts_s) {
    const start = Math.round(start_s * rate_hz);
    for (let n = Math.max(0, -start); n < heard.length && start + n < samples.length; n += 1)
      samples[start + n]! += heard[n]!;
  }
  if (recording.noise_db === undefined) return samples;
  const noise = gaussian(recording.seed);
  const rms = Math.sqrt(heard.subarray(0, played.length).reduce((sum, x) => sum + x * x, 0) / played.length);
  return samples.map((x) => x + rms * 10 ** (recording.noise_db! / 20) * noise());
}
