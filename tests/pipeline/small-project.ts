import { mkdirSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { encodeWav } from '../../src/audio/encode-wav.ts';

const RATE_HZ = 8000;

/**
 * Returns a WAV file of two claps in a small dry room, at the lowest rate that is read, so that a report takes a fraction of a
 * second. The same bytes for the same seed.
 */
export function smallTake(seed: number): Uint8Array {
  const samples = new Float64Array(2.2 * RATE_HZ);
  const noise = whiteNoise(seed);
  for (let i = 0; i < samples.length; i++) samples[i] = 1e-4 * noise();
  for (const onset_s of [0.3, 1.3]) {
    const onset = onset_s * RATE_HZ;
    for (let i = 0; i < 0.8 * RATE_HZ; i++) samples[onset + i]! += 0.4 * 10 ** ((-3 * i) / RATE_HZ / 0.3) * noise();
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

/** What may be said in the project file of a small project. */
export interface SmallSettings {
  title: string;
  length: number;
  caption: string;
}

export const SMALL_SETTINGS: SmallSettings = { title: 'Small room', length: 3.4, caption: 'Bare' };

/** Writes the project file of a small project with two stages. */
export function writeSmallYaml(folder: string, { title, length, caption }: SmallSettings = SMALL_SETTINGS): void {
  mkdirSync(folder, { recursive: true });
  writeFileSync(
    join(folder, 'project.yaml'),
    `decaybook: 1
title: ${title}
date: 2026-05-04
purpose: other
room: { length: ${length}, width: 2.6, height: 2.4 }
source: { description: hands, kind: clap }
positions: { A: {} }
stages:
  - { id: bare, title: ${caption} }
  - { id: treated, title: Treated }
`,
  );
}

/** Writes a recording of a small project. */
export function writeSmallTake(folder: string, file: string, seed: number): void {
  mkdirSync(dirname(join(folder, file)), { recursive: true });
  writeFileSync(join(folder, file), smallTake(seed));
}

/** A small project with two takes, one a stage. */
export function writeSmallProject(folder: string): void {
  writeSmallYaml(folder);
  writeSmallTake(folder, 'recordings/bare/A/01.wav', 1);
  writeSmallTake(folder, 'recordings/treated/A/01.wav', 2);
}
