import type { Random } from './random.ts';

/**
 * Sounds that are no claps, dry, loudest sample about 1: what a recording holds besides. They need the room put on them
 * by whoever uses them.
 */

/** Voices differ; these are the first three resonances of some vowels, in Hz (after Peterson and Barney 1952, table II, men). */
const VOWELS_HZ = [
  [730, 1090, 2440],
  [270, 2290, 3010],
  [300, 870, 2240],
  [530, 1840, 2480],
  [570, 840, 2410],
] as const;

/** Speech-like sound: syllables of voiced vowels, hissed and popped consonants, with pauses between words. */
export function speech(random: Random, { seconds, rate_hz }: { seconds: number; rate_hz: number }): Float64Array {
  const out = new Float64Array(Math.round(seconds * rate_hz));
  let at_s = 0.02;
  while (at_s < seconds - 0.25) {
    const consonant = random.uniform();
    if (consonant < 0.35) at_s += addHiss(random, out, { at_s, rate_hz });
    else if (consonant < 0.65) at_s += addPlosive(random, out, { at_s, rate_hz });
    at_s += addVowel(random, out, { at_s, rate_hz });
    if (random.uniform() < 0.3) at_s += random.between(0.05, 0.25);
  }
  return limited(out);
}

/** A footstep: a dull thud of the floor with a weak click of the heel. */
export function footstep(random: Random, rate_hz: number): Float64Array {
  const out = new Float64Array(Math.round(0.25 * rate_hz));
  addResonance(out, { frequency_hz: random.between(60, 110), decay_s: 0.03, attack_s: 0.004, gain: 1, rate_hz });
  addResonance(out, { frequency_hz: random.between(150, 260), decay_s: 0.015, attack_s: 0.003, gain: 0.5, rate_hz });
  addBurst(random, out, { at_s: 0.001, attack_s: 0.002, decay_s: 0.004, gain: random.between(0.02, 0.12), rate_hz });
  return limited(out);
}

/** A door slammed: a heavy thud that builds over some ten milliseconds, with the latch and a rattle. */
export function doorSlam(random: Random, rate_hz: number): Float64Array {
  const out = new Float64Array(Math.round(0.8 * rate_hz));
  for (const frequency_hz of [random.between(45, 70), random.between(90, 140), random.between(180, 320)]) {
    const decay_s = random.between(0.05, 0.12);
    addResonance(out, { frequency_hz, decay_s, attack_s: 0.012, gain: random.between(0.5, 1), rate_hz });
  }
  addBurst(random, out, { at_s: 0.008, attack_s: 0.012, decay_s: 0.04, gain: random.between(0.1, 0.3), rate_hz });
  addBurst(random, out, { at_s: 0.07, attack_s: 0.004, decay_s: 0.02, gain: random.between(0.05, 0.15), rate_hz });
  return limited(out);
}

/** A chair's creak: a run of small clicks that stick and slip, louder and softer. */
export function creak(random: Random, rate_hz: number): Float64Array {
  const seconds = random.between(0.25, 0.7);
  const out = new Float64Array(Math.round((seconds + 0.05) * rate_hz));
  const frequency_hz = random.between(500, 1800);
  for (let at_s = 0.01; at_s < seconds; at_s += random.between(0.006, 0.022)) {
    const gain = Math.sin((Math.PI * at_s) / seconds) * random.between(0.4, 1);
    addResonance(out, { at_s, frequency_hz: frequency_hz * random.between(0.9, 1.1), decay_s: 0.003, gain, rate_hz });
  }
  return limited(out);
}

interface Placed {
  at_s: number;
  rate_hz: number;
}

function addVowel(random: Random, out: Float64Array, { at_s, rate_hz }: Placed): number {
  const seconds = random.between(0.09, 0.22);
  const pitch_hz = random.between(95, 180);
  const resonances = VOWELS_HZ[Math.floor(random.uniform() * VOWELS_HZ.length)]!;
  const gain = random.between(0.5, 1);
  const start = Math.round(at_s * rate_hz);
  const length = Math.round(seconds * rate_hz);
  const filters = resonances.map((frequency_hz, i) => resonator(frequency_hz, 60 + 40 * i, rate_hz));
  let phase = 0;
  for (let i = 0; i < length && start + i < out.length; i++) {
    phase += pitch_hz / rate_hz;
    const pulse = phase >= 1 ? 1 : 0;
    phase -= pulse;
    const swell = Math.min(1, i / (0.025 * rate_hz), (length - i) / (0.05 * rate_hz));
    const voiced = pulse + 0.004 * random.normal();
    out[start + i]! += gain * swell * filters.reduce((sum, filter, f) => sum + filter(voiced) / (1 + 1.5 * f), 0);
  }
  return seconds;
}

function addHiss(random: Random, out: Float64Array, { at_s, rate_hz }: Placed): number {
  const seconds = random.between(0.06, 0.14);
  addBurst(random, out, { at_s, attack_s: 0.03, decay_s: seconds / 3, gain: random.between(0.1, 0.25), rate_hz });
  return seconds;
}

function addPlosive(random: Random, out: Float64Array, { at_s, rate_hz }: Placed): number {
  const closure_s = random.between(0.04, 0.08);
  const burst = { at_s: at_s + closure_s, attack_s: 0.001, decay_s: 0.008, gain: random.between(0.1, 0.4), rate_hz };
  addBurst(random, out, burst);
  return closure_s + random.between(0.01, 0.03);
}

function addBurst(
  random: Random,
  out: Float64Array,
  burst: { at_s: number; attack_s: number; decay_s: number; gain: number; rate_hz: number },
): void {
  const { at_s, attack_s, decay_s, gain, rate_hz } = burst;
  const start = Math.round(at_s * rate_hz);
  const end = Math.min(out.length, start + Math.round((attack_s + 7 * decay_s) * rate_hz));
  for (let i = start; i < end; i++) {
    const t = (i - start) / rate_hz;
    const envelope = t < attack_s ? t / attack_s : Math.exp((attack_s - t) / decay_s);
    out[i]! += gain * 0.4 * envelope * random.normal();
  }
}

function addResonance(
  out: Float64Array,
  tone: { at_s?: number; frequency_hz: number; decay_s: number; attack_s?: number; gain: number; rate_hz: number },
): void {
  const { at_s = 0, frequency_hz, decay_s, attack_s = 0, gain, rate_hz } = tone;
  const start = Math.round(at_s * rate_hz);
  const end = Math.min(out.length, start + Math.round((attack_s + 8 * decay_s) * rate_hz));
  for (let i = start; i < end; i++) {
    const t = (i - start) / rate_hz;
    const swell = attack_s > 0 ? 1 - Math.exp(-t / attack_s) : 1;
    out[i]! += gain * swell * Math.exp(-t / decay_s) * Math.sin(2 * Math.PI * frequency_hz * t);
  }
}

function resonator(frequency_hz: number, bandwidth_hz: number, rate_hz: number): (x: number) => number {
  const radius = Math.exp((-Math.PI * bandwidth_hz) / rate_hz);
  const a1 = 2 * radius * Math.cos((2 * Math.PI * frequency_hz) / rate_hz);
  const a2 = -radius * radius;
  let y1 = 0;
  let y2 = 0;
  return (x) => {
    const y = x + a1 * y1 + a2 * y2;
    y2 = y1;
    y1 = y;
    return y;
  };
}

function limited(samples: Float64Array): Float64Array {
  const loudest = samples.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  return loudest === 0 ? samples : samples.map((value) => value / loudest);
}
