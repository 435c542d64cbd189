import { backgroundNoise } from '../../projects/synthesis/background.ts';
import { creak, doorSlam, footstep, speech } from '../../projects/synthesis/clutter.ts';
import type { PerBand } from '../../projects/synthesis/decaying-noise.ts';
import { type Random, seededRandom } from '../../projects/synthesis/random.ts';
import { roomResponse } from '../../projects/synthesis/room-response.ts';
import { type SyntheticSource, soundOfSource } from '../../projects/synthesis/sources.ts';
import { convolve } from '../../src/signal/fft.ts';

/** A synthetic recording whose parts are known one by one. */
export interface EventScene {
  rate_hz: number;
  samples: Float64Array;
  noise: Float64Array;
  claps: { onset: number; sound: Float64Array }[];
  clutter: { name: string; start: number; sound: Float64Array }[];
}

export interface SceneOptions {
  /** Voices, steps, doors and creaks, claps too close and double hits; without it only clean claps far apart. */
  clutter?: boolean;
  source?: SyntheticSource;
  /** Length of the room's response in samples. */
  length?: number;
}

const CLUTTER = ['speech', 'footsteps', 'door', 'creak'] as const;

/** A scene of claps in a random small room, with whatever people do between claps. The same name gives the same scene. */
export function eventScene(name: string, { clutter = true, source, length = 32768 }: SceneOptions = {}): EventScene {
  const random = seededRandom(name);
  const rate_hz = pick(random, [44100, 48000]);
  const kind = source ?? pick(random, ['clap', 'clap', 'balloon', 'board'] as const);
  const response = randomRoom(random, rate_hz, length);
  const peak = 10 ** (-random.between(2, 14) / 20);
  const level = 10 ** (-random.between(58, 82) / 20);
  const onsets_s = clutter ? irregularOnsets(random) : regularOnsets(random);
  const seconds = onsets_s.at(-1)! + (clutter && random.uniform() < 0.1 ? random.between(0.03, 0.6) : 1.8);
  const noise = backgroundNoise(random, { length: Math.round(seconds * rate_hz), level, rate_hz });
  const samples = noise.slice();
  const claps = onsets_s.map((at_s) => {
    const gain = peak * 10 ** (-random.between(0, 6) / 20);
    const sharp = soundOfSource(random, response, { source: kind, rate_hz });
    const sound = (random.uniform() < 0.5 ? sharp : blunted(sharp, random.between(2, 24))).map((value) => gain * value);
    const onset = Math.round(at_s * rate_hz);
    add(samples, sound, onset);
    return { onset, sound };
  });
  const scene: EventScene = { rate_hz, samples, noise, claps, clutter: [] };
  if (!clutter) return scene;
  const count = Math.floor(random.between(0, 5));
  for (let i = 0; i < count; i++) {
    const what = pick(random, CLUTTER);
    const dry = clutterSound(random, what, rate_hz);
    const wet = convolve(dry, response.subarray(0, length / 2));
    const loudest = wet.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
    // Speech and steps at a few metres are 10 to 40 dB under a clap; a door can be as loud.
    const under_db = what === 'door' ? random.between(0, 25) : random.between(10, 40);
    const sound = wet.map((value) => (value / loudest) * peak * 10 ** (-under_db / 20));
    const start = Math.round(random.between(0, seconds - 0.3) * rate_hz);
    add(samples, sound, start);
    scene.clutter.push({ name: what, start, sound });
  }
  return scene;
}

/** Hands are soft: the sound rises over so many samples, as half a period of a squared sine. */
function blunted(samples: Float64Array, rise: number): Float64Array {
  const taps = Math.max(1, Math.round(rise));
  const kernel = Float64Array.from({ length: taps }, (_, i) => Math.sin((Math.PI * (i + 0.5)) / taps) ** 2);
  const out = new Float64Array(samples.length);
  kernel.forEach((weight, tap) => {
    for (let i = tap; i < out.length; i++) out[i]! += weight * samples[i - tap]!;
  });
  const loudest = out.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  return out.map((value) => value / loudest);
}

function randomRoom(random: Random, rate_hz: number, length: number): Float64Array {
  const size_m = [random.between(2.5, 8), random.between(2.2, 6), random.between(2.2, 3.5)] as const;
  const inside = () => [0, 1, 2].map((axis) => random.between(0.15, 0.85) * size_m[axis]!) as [number, number, number];
  const source = inside();
  let microphone = inside();
  while (Math.hypot(...source.map((s, i) => s - microphone[i]!)) < 0.8) microphone = inside();
  const middle_s = random.between(0.12, 0.7);
  const decay_s = Array.from({ length: 8 }, (_, band) => {
    const slope = 1 + 0.06 * (3.5 - band);
    return middle_s * slope * random.between(0.85, 1.15);
  }) as unknown as PerBand;
  const wall = () => random.between(0.6, 0.95);
  const walls = [wall(), wall(), wall(), wall(), wall(), wall()] as const;
  return roomResponse(random, { size_m, source, microphone, walls, decay_s }, { rate_hz, length });
}

/** Far enough apart for every decay to reach the noise. */
function regularOnsets(random: Random): number[] {
  const onsets_s = [random.between(0.6, 1.2)];
  for (let i = 0; i < 3; i++) onsets_s.push(onsets_s.at(-1)! + random.between(1.4, 2.2));
  return onsets_s;
}

/** Gaps as they come: long, too short, a second hit on the heels of the first, a clap at the very start. */
function irregularOnsets(random: Random): number[] {
  const onsets_s = [random.uniform() < 0.15 ? random.between(0.001, 0.05) : random.between(0.3, 1.5)];
  const claps = Math.floor(random.between(1, 6));
  for (let i = 1; i < claps; i++) {
    const chance = random.uniform();
    const gap_s =
      chance < 0.08 ? random.between(0.015, 0.07) : chance < 0.2 ? random.between(0.07, 0.4) : random.between(0.6, 2.2);
    onsets_s.push(onsets_s.at(-1)! + gap_s);
  }
  return onsets_s;
}

function clutterSound(random: Random, name: (typeof CLUTTER)[number], rate_hz: number): Float64Array {
  switch (name) {
    case 'speech':
      return speech(random, { seconds: random.between(0.4, 1.5), rate_hz });
    case 'door':
      return doorSlam(random, rate_hz);
    case 'creak':
      return creak(random, rate_hz);
    case 'footsteps': {
      const steps = Math.floor(random.between(1, 5));
      const out = new Float64Array(Math.round((0.6 * steps + 0.3) * rate_hz));
      for (let i = 0; i < steps; i++) add(out, footstep(random, rate_hz), Math.round(i * 0.58 * rate_hz));
      return out;
    }
  }
}

function add(out: Float64Array, sound: Float64Array, at: number): void {
  const end = Math.min(out.length, at + sound.length);
  for (let i = at; i < end; i++) out[i]! += sound[i - at]!;
}

function pick<T>(random: Random, values: readonly T[]): T {
  return values[Math.floor(random.uniform() * values.length)]!;
}
