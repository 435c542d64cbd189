import { backgroundNoise } from '../../projects/synthesis/background.ts';
import type { PerBand } from '../../projects/synthesis/decaying-noise.ts';
import { type Random, seededRandom } from '../../projects/synthesis/random.ts';
import { roomResponse } from '../../projects/synthesis/room-response.ts';
import { type SyntheticSource, soundOfSource } from '../../projects/synthesis/sources.ts';
import { directEnergy } from '../../src/room/late-level.ts';
import { readResponse } from '../../src/room/read-response.ts';
import { powerToDb } from '../../src/signal/decibels.ts';
import type { ReadingAt } from '../../src/statistics/cells.ts';

/** A whole measurement whose claps are synthesised and read one by one, with a take that is not what its folder says. */
export type Mishap = 'none' | 'other-position' | 'other-stage' | 'longer-decay';

export interface ProjectShape {
  positions: number;
  files: number;
  claps: number;
  source: SyntheticSource;
  /** Of the longer decay: after over before. */
  ratio?: number;
}

export interface SceneReading extends ReadingAt {
  direct_db: number;
}

const RATE_HZ = 24_000;
const LENGTH = 32_768;
const LEAD = 480;
const STAGES = ['bare', 'treated'] as const;

/** The readings of a project of two stages; the last file of the first place is spoiled as asked. The same name gives the same. */
export function projectReadings(name: string, shape: ProjectShape, mishap: Mishap): SceneReading[] {
  const random = seededRandom(name);
  const room = randomRoom(random, shape.positions + 1);
  const readings: SceneReading[] = [];
  STAGES.forEach((stage, s) => {
    for (let p = 0; p < shape.positions; p++) {
      const responses = new Map<string, Float64Array>();
      for (let file = 0; file < shape.files; file++) {
        const odd = s === 0 && p === 0 && file === shape.files - 1 ? mishap : 'none';
        const place = odd === 'other-position' ? 1 : p;
        const at = odd === 'other-stage' ? 1 : s;
        const longer = odd === 'longer-decay' ? (shape.ratio ?? 1.15) : 1;
        const key = `${at}/${place}/${longer}`;
        const response = responses.get(key) ?? placeResponse({ name, room, stage: at, place, longer });
        responses.set(key, response);
        for (let clap = 0; clap < shape.claps; clap++) {
          const take = `recordings/${stage}/P${p}/0${file + 1}.wav@${clap}`;
          readings.push({ stage, position: `P${p}`, take, ...readClap(random, response, { ...shape, room }) });
        }
      }
    }
  });
  return readings;
}

interface RandomRoom {
  size_m: [number, number, number];
  source: [number, number, number];
  microphones: [number, number, number][];
  decay_s: readonly [PerBand, PerBand];
  walls: readonly [number, number, number, number, number, number];
  noise: number;
}

function randomRoom(random: Random, places: number): RandomRoom {
  const size_m: [number, number, number] = [random.between(2.8, 7), random.between(2.4, 5), random.between(2.3, 3.2)];
  const inside = () => size_m.map((side) => random.between(0.15, 0.85) * side) as [number, number, number];
  const source = inside();
  const microphones: [number, number, number][] = [];
  while (microphones.length < places) {
    const spot = inside();
    const far = [source, ...microphones].every((other) => Math.hypot(...spot.map((x, i) => x - other[i]!)) > 0.7);
    if (far) microphones.push(spot);
  }
  const middle_s = random.between(0.25, 0.6);
  const bare = Array.from({ length: 8 }, (_, b) => middle_s * (1 + 0.05 * (3.5 - b)) * random.between(0.9, 1.1));
  const treated = bare.map((value) => value * random.between(0.6, 0.9));
  const wall = () => random.between(0.7, 0.95);
  return {
    size_m,
    source,
    microphones,
    decay_s: [bare as unknown as PerBand, treated as unknown as PerBand],
    walls: [wall(), wall(), wall(), wall(), wall(), wall()],
    noise: 10 ** (-random.between(66, 80) / 20),
  };
}

/** The fixed answer of one place in one stage. A door that opens leaves its fine structure and stretches it. */
function placeResponse(given: {
  name: string;
  room: RandomRoom;
  stage: number;
  place: number;
  longer: number;
}): Float64Array {
  const { name, room, stage, place, longer } = given;
  const decay_s = room.decay_s[stage]!.map((value) => value * longer) as unknown as PerBand;
  const random = seededRandom(`${name}/${stage}/${place}`);
  const microphone = room.microphones[place]!;
  return roomResponse(random, { ...room, microphone, decay_s }, { rate_hz: RATE_HZ, length: LENGTH });
}

function readClap(
  random: Random,
  response: Float64Array,
  { source, room }: { source: SyntheticSource; room: RandomRoom },
): Pick<SceneReading, 'bands' | 'direct_db'> {
  const sound = soundOfSource(random, response, { source, rate_hz: RATE_HZ });
  const gain = 0.6 * 10 ** (-random.between(0, 6) / 20);
  const samples = backgroundNoise(random, { length: LEAD + LENGTH, level: room.noise, rate_hz: RATE_HZ });
  for (let i = 0; i < sound.length; i++) samples[LEAD + i]! += gain * sound[i]!;
  const peak = sound.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  const zero_sample = LEAD + sound.findIndex((value) => Math.abs(value) >= peak / 10);
  const { bands } = readResponse(samples, { rate_hz: RATE_HZ, zero_sample, widths: ['octave'] });
  return { bands, direct_db: powerToDb(directEnergy(samples, RATE_HZ, zero_sample)) };
}
