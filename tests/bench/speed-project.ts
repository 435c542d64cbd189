import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { backgroundNoise } from '../../projects/synthesis/background.ts';
import { seededRandom } from '../../projects/synthesis/random.ts';
import { SCENARIOS } from '../../projects/synthesis/scenarios.ts';
import { soundOfSource } from '../../projects/synthesis/sources.ts';
import { stageResponse } from '../../projects/synthesis/take.ts';
import { encodeWav } from '../../src/audio/encode-wav.ts';

const SECONDS = 10;
const POPS_S = [0.9, 3.9, 6.9];
const SCENARIO = SCENARIOS[0]!;
const POSITIONS = Object.keys(SCENARIO.microphones);

/**
 * Writes a project of one room in four stages and two positions: takes of 10 s at 48 kHz and 24 bit, three balloon pops in
 * each, so that every band has something to be read. The same bytes each time.
 *
 * @returns the recordings, relative to the folder
 */
export function makeSpeedProject(folder: string, takes: number): string[] {
  mkdirSync(folder, { recursive: true });
  writeFileSync(join(folder, 'project.yaml'), projectYaml());
  const places = SCENARIO.stages.flatMap((stage) => POSITIONS.map((position) => ({ stage, position })));
  const files: string[] = [];
  for (const [i, { stage, position }] of places.entries()) {
    const count = Math.floor(takes / places.length) + (i < takes % places.length ? 1 : 0);
    const response = count > 0 ? stageResponse(SCENARIO, stage, position) : new Float64Array(0);
    const inside = `recordings/${stage.id}/${position}`;
    mkdirSync(join(folder, inside), { recursive: true });
    for (let take = 1; take <= count; take++) {
      const file = `${inside}/${String(take).padStart(2, '0')}.wav`;
      writeFileSync(join(folder, file), takeWav(response, file));
      files.push(file);
    }
  }
  return files;
}

/** One take; what it is called decides its pops and its noise. */
function takeWav(response: Float64Array, name: string): Uint8Array {
  const { rate_hz, noise, peak, sourceKind } = SCENARIO;
  const random = seededRandom(name);
  const samples = backgroundNoise(random, { length: SECONDS * rate_hz, level: noise, rate_hz });
  for (const pop_s of POPS_S) {
    const sound = soundOfSource(random, response, { source: sourceKind, rate_hz });
    const gain = peak * 10 ** (-random.between(0, 5) / 20);
    const onset = Math.round((pop_s + random.between(0, 0.3)) * rate_hz);
    for (let i = 0; i < sound.length && onset + i < samples.length; i++) samples[onset + i]! += gain * sound[i]!;
  }
  return encodeWav(samples, rate_hz, 24);
}

/** The same room for every project made here. */
function projectYaml(): string {
  const [length, width, height] = SCENARIO.size_m;
  const stages = SCENARIO.stages.map(({ id }) => `  - { id: ${id}, title: Stage ${id} }`);
  const places = Object.entries(SCENARIO.microphones).map(
    ([id, at]) => `  ${id}: { microphone: [${at.join(', ')}], source: [${SCENARIO.source.join(', ')}] }`,
  );
  return [
    'decaybook: 1',
    'title: A room of many takes',
    'date: 2026-05-04',
    'purpose: speech-recording',
    `room: { length: ${length}, width: ${width}, height: ${height} }`,
    'source: { description: balloons, kind: balloon }',
    'positions:',
    ...places,
    'stages:',
    ...stages,
    '',
  ].join('\n');
}
