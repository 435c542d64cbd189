/** Responses with a known truth: Gaussian noise under exponentials, in steady noise. */

/**
 * Stream of nearly Gaussian numbers of mean 0 and variance 1 from 32-bit integers alone, so that any language draws the same:
 * xorshift (Marsaglia, J. Stat. Softw. 8 (2003) 14, shifts 13, 17, 5), twelve uniform draws summed, less six.
 */
export function gaussianStream(seed: number): () => number {
  let state = (Math.imul(seed, 2654435761) ^ 0x9e3779b9) >>> 0 || 1;
  return () => {
    let sum = -6;
    for (let i = 0; i < 12; i++) {
      state ^= state << 13;
      state ^= state >>> 17;
      state ^= state << 5;
      sum += (state >>> 0) / 4294967296;
    }
    return sum;
  };
}

export interface Simulated {
  /** With noise. */
  samples: Float64Array;
  /** The very same response without the noise. */
  clean: Float64Array;
  rate_hz: number;
  zero_sample: number;
}

/**
 * White Gaussian noise under exp(-13.8155 t/T) in power from time zero (plus a second slope), and white noise `range_db` below
 * its level at time zero: every band then has that range, T and slope.
 */
export function simulateResponse(options: {
  seed: number;
  decay_time_s: number;
  range_db: number;
  rate_hz?: number;
  lead_s?: number;
  /** Noise after the decay has met it. */
  tail_s?: number;
  second?: { decay_time_s: number; level_db: number };
}): Simulated {
  const { seed, decay_time_s, range_db, rate_hz = 48000, lead_s = 0.02, tail_s = 0.4, second } = options;
  const draw = gaussianStream(seed);
  const zero_sample = Math.round(lead_s * rate_hz);
  const longest_s = Math.max(decay_time_s, second?.decay_time_s ?? 0);
  const length = zero_sample + Math.round(((longest_s * range_db) / 60 + tail_s) * rate_hz);
  const samples = new Float64Array(length);
  const clean = new Float64Array(length);
  const noise = 10 ** (-range_db / 20);
  const rate = Math.log(1e6) / decay_time_s;
  const secondRate = second ? Math.log(1e6) / second.decay_time_s : 0;
  const secondPower = second ? 10 ** (second.level_db / 10) : 0;
  for (let i = 0; i < length; i++) {
    const t = (i - zero_sample) / rate_hz;
    const power = t < 0 ? 0 : Math.exp(-rate * t) + secondPower * Math.exp(-secondRate * t);
    clean[i] = t < 0 ? 0 : Math.sqrt(power) * draw();
    samples[i] = clean[i]! + noise * draw();
  }
  return { samples, clean, rate_hz, zero_sample };
}
