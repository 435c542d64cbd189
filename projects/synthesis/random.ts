/** A seeded stream of random numbers: the same seed gives the same recordings on every machine. */
export interface Random {
  /** Uniform from 0 up to 1. */
  uniform(): number;
  /** Uniform between two bounds. */
  between(low: number, high: number): number;
  /** Gaussian of mean 0 and deviation 1. */
  normal(): number;
}

/**
 * A stream from a 32-bit counter mixed by the finaliser of MurmurHash3 (Appleby 2011, public domain), Gaussian by the
 * polar method (Marsaglia and Bray 1964). Good enough to synthesise sound, not for secrets.
 *
 * @param name any text: streams of different names are independent
 */
export function seededRandom(name: string): Random {
  let state = 0x811c9dc5;
  for (let i = 0; i < name.length; i++) state = Math.imul(state ^ name.charCodeAt(i), 0x01000193);
  const uniform = () => {
    state = (state + 0x9e3779b9) | 0;
    let h = state;
    h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
    h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
    return ((h ^ (h >>> 16)) >>> 0) / 4294967296;
  };
  let spare: number | null = null;
  const normal = () => {
    if (spare !== null) {
      const kept = spare;
      spare = null;
      return kept;
    }
    for (;;) {
      const u = 2 * uniform() - 1;
      const v = 2 * uniform() - 1;
      const s = u * u + v * v;
      if (s >= 1 || s === 0) continue;
      const scale = Math.sqrt((-2 * Math.log(s)) / s);
      spare = v * scale;
      return u * scale;
    }
  };
  return { uniform, between: (low, high) => low + (high - low) * uniform(), normal };
}
