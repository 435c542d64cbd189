import { encodeWav } from '../../src/audio/encode-wav.ts';

const RATE_HZ = 48000;

/**
 * Returns a WAV file of claps as a small room answers them: noise that decays by 60 dB in 0.3 s, 70 dB over a steady noise,
 * two seconds apart; without a clap, six seconds of the steady noise. The same bytes for the same seed.
 */
export function clapsWav({ claps = 4, seed = 1 }: { claps?: number; seed?: number }): Uint8Array {
  const samples = new Float64Array(RATE_HZ * (claps === 0 ? 6 : 2 * claps + 1));
  const noise = whiteNoise(seed);
  for (let i = 0; i < samples.length; i++) samples[i] = 0.5 * 10 ** (-70 / 20) * noise();
  for (let clap = 0; clap < claps; clap++) {
    const onset = Math.round(RATE_HZ * (0.7 + 2 * clap));
    for (let i = 0; i < RATE_HZ; i++) {
      const level = i < 48 ? 1 : 0.4 * 10 ** (-3 * (i / RATE_HZ / 0.3));
      samples[onset + i]! += 0.5 * level * noise();
    }
  }
  return encodeWav(samples, RATE_HZ, 16);
}

/** Uniform noise from -1 to 1: a multiplicative congruential generator (Lehmer; Park and Miller 1988, multiplier 48271). */
function whiteNoise(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 48271) % 2147483647;
    return (2 * state) / 2147483647 - 1;
  };
}
