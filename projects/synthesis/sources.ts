import type { Random } from './random.ts';

export type SyntheticSource = 'clap' | 'balloon' | 'board';

interface SourceCharacter {
  /** Where the source loses its bass, and how steeply: first-order sections. */
  bass_hz: readonly [number, number];
  bass_sections: number;
  /** Range of the main resonance, its height in dB and its quality. */
  resonance_hz: readonly [number, number];
  resonance_db: readonly [number, number];
  quality: number;
  /** Where the treble falls off, two first-order sections. */
  treble_hz: readonly [number, number];
  /** Span over which the sound of the hands or the wood is spread after its first instant. */
  spread_s: number;
}

/** Plausible characters, not measurements: what matters is that sources differ and that a clap lacks bass. */
const CHARACTERS: Record<SyntheticSource, SourceCharacter> = {
  clap: {
    bass_hz: [380, 620],
    bass_sections: 2,
    resonance_hz: [900, 2200],
    resonance_db: [5, 11],
    quality: 2,
    treble_hz: [4000, 9000],
    spread_s: 0.0015,
  },
  balloon: {
    bass_hz: [60, 100],
    bass_sections: 1,
    resonance_hz: [450, 900],
    resonance_db: [3, 6],
    quality: 1,
    treble_hz: [5000, 9000],
    spread_s: 0.0008,
  },
  board: {
    bass_hz: [250, 400],
    bass_sections: 2,
    resonance_hz: [700, 1500],
    resonance_db: [4, 9],
    quality: 1.5,
    treble_hz: [6000, 12000],
    spread_s: 0.0006,
  },
};

/**
 * What a room answers to one clap, pop or crack: its response passed through the source's spectrum, which differs from
 * one to the next. The loudest sample of the result is 1.
 */
export function soundOfSource(
  random: Random,
  response: Float64Array,
  { source, rate_hz }: { source: SyntheticSource; rate_hz: number },
): Float64Array {
  const character = CHARACTERS[source];
  const within = ([low, high]: readonly [number, number]) => random.between(low, high);
  const led = source === 'clap' ? withForetouch(random, response, rate_hz) : response;
  let sound: Float64Array = spread(random, led, Math.round(character.spread_s * rate_hz));
  for (let i = 0; i < character.bass_sections; i++) sound = highPass(sound, within(character.bass_hz) / rate_hz);
  for (let i = 0; i < 2; i++) sound = lowPass(sound, within(character.treble_hz) / rate_hz);
  sound = peaking(sound, within(character.resonance_hz) / rate_hz, {
    gain_db: within(character.resonance_db),
    quality: character.quality,
  });
  return normalised(sound);
}

/**
 * In every other clap a finger touches first, up to a millisecond ahead: clearly above or clearly below the 20 dB under the
 * clap that decide where it starts.
 */
function withForetouch(random: Random, samples: Float64Array, rate_hz: number): Float64Array {
  const chance = random.uniform();
  if (chance < 0.5) return samples;
  const gain = chance < 0.75 ? random.between(0.02, 0.06) : random.between(0.2, 0.4);
  const ahead = Math.round(random.between(0.0003, 0.001) * rate_hz);
  return samples.map((value, i) => gain * value + (i < ahead ? 0 : samples[i - ahead]!));
}

/** A few weaker contacts after the first: what makes each clap a sound of its own. */
function spread(random: Random, samples: Float64Array, span: number): Float64Array {
  const out = samples.slice();
  for (let contact = 0; contact < 4; contact++) {
    const delay = Math.max(1, Math.round(random.uniform() * span));
    const gain = 0.5 * random.normal() * Math.exp(-delay / span);
    for (let i = delay; i < out.length; i++) out[i]! += gain * samples[i - delay]!;
  }
  return out;
}

function highPass(samples: Float64Array, corner: number): Float64Array {
  const low = lowPass(samples, corner);
  return low.map((value, i) => samples[i]! - value);
}

function lowPass(samples: Float64Array, corner: number): Float64Array {
  const share = 1 - Math.exp(-2 * Math.PI * corner);
  let state = 0;
  return samples.map((value) => {
    state += share * (value - state);
    return state;
  });
}

/** A bell in the spectrum: peaking equaliser after Bristow-Johnson, Cookbook formulae for audio EQ, W3C note 2021. */
function peaking(
  samples: Float64Array,
  centre: number,
  { gain_db, quality }: { gain_db: number; quality: number },
): Float64Array {
  const a = 10 ** (gain_db / 40);
  const alpha = Math.sin(2 * Math.PI * centre) / (2 * quality);
  const cosine = -2 * Math.cos(2 * Math.PI * centre);
  const a0 = 1 + alpha / a;
  const [b0, b1, b2] = [(1 + alpha * a) / a0, cosine / a0, (1 - alpha * a) / a0];
  const [a1, a2] = [cosine / a0, (1 - alpha / a) / a0];
  let s1 = 0;
  let s2 = 0;
  return samples.map((x) => {
    const y = b0 * x + s1;
    s1 = b1 * x - a1 * y + s2;
    s2 = b2 * x - a2 * y;
    return y;
  });
}

function normalised(samples: Float64Array): Float64Array {
  const loudest = samples.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  return samples.map((value) => value / loudest);
}
