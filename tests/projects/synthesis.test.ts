import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { boxReflections } from '../../projects/synthesis/box-reflections.ts';
import { decayingNoise, type PerBand, SYNTHESIS_BANDS_HZ } from '../../projects/synthesis/decaying-noise.ts';
import { seededRandom } from '../../projects/synthesis/random.ts';
import { SCENARIOS } from '../../projects/synthesis/scenarios.ts';
import { stageResponse, synthesiseTake } from '../../projects/synthesis/take.ts';
import { findResponses } from '../../src/audio/find-responses.ts';
import { projectSchema } from '../../src/project/project.ts';

const folder = join(import.meta.dirname, '../../projects');

describe('decayingNoise', () => {
  const only = (band: number) => SYNTHESIS_BANDS_HZ.map((_, i) => (i === band ? 1 : 0)) as unknown as PerBand;
  const all = (value: number) => SYNTHESIS_BANDS_HZ.map(() => value) as unknown as PerBand;
  const energy = (samples: Float64Array) => samples.reduce((sum, value) => sum + value * value, 0);

  it.each([
    [2, 0.3],
    [4, 0.5],
    [6, 0.8],
  ])('falls by 60 dB in T: band %i, T %f s', (band, decay_s) => {
    // From 0 to 0.1 s against 0.2 to 0.3 s the energy falls by 12 dB / T(s). The energy of a decay of width B has the relative
    // variance k / (2 B), k = 6 ln(10) / T, and the ratio of two twice that; four deviations of the average are allowed.
    const draws = 16;
    const width_hz = SYNTHESIS_BANDS_HZ[band]! * Math.SQRT1_2;
    const deviation_db = (10 / Math.LN10) * Math.sqrt((6 * Math.LN10) / decay_s / (width_hz * draws));
    const rate_hz = 48000;
    let early = 0;
    let late = 0;
    for (let draw = 0; draw < draws; draw++) {
      const random = seededRandom(`decay ${band} ${draw}`);
      const noise = decayingNoise(random, { decay_s: all(decay_s), power: only(band), rate_hz, length: 32768 });
      early += energy(noise.subarray(0, 4800));
      late += energy(noise.subarray(9600, 14400));
    }
    expect(Math.abs(10 * Math.log10(early / late) - 12 / decay_s)).toBeLessThan(4 * deviation_db);
  });

  it('adds up to white noise of the stated power where all bands have it', () => {
    const options = { decay_s: all(1e6), power: all(0.25), rate_hz: 48000, length: 65536 };
    const noise = decayingNoise(seededRandom('white'), options);
    expect(energy(noise) / noise.length).toBeCloseTo(0.25, 2);
  });
});

it('boxReflections are images in the walls: the first from the floor has the path of a mirrored source', () => {
  const arrivals = boxReflections([10, 10, 10], {
    source: [5, 5, 1],
    microphone: [8, 5, 1],
    walls: [0, 0, 0, 0, 0.8, 0],
    until_s: 0.05,
  }).filter(({ amplitude }) => amplitude > 0);
  const path_m = Math.hypot(3, 2);
  expect(arrivals).toHaveLength(2);
  expect(arrivals[0]).toEqual({ delay_s: 0, amplitude: 1 });
  expect(arrivals[1]!.delay_s).toBeCloseTo((path_m - 3) / 343.2, 12);
  expect(arrivals[1]!.amplitude).toBeCloseTo((0.8 * 3) / path_m, 12);
});

describe.each(SCENARIOS.map((scenario) => [scenario.folder, scenario] as const))(
  'example project %s',
  (_, scenario) => {
    const project = projectSchema.parse(parse(readFileSync(join(folder, scenario.folder, 'project.yaml'), 'utf8')));

    it('describes the room that its recordings are made from', () => {
      expect([project.room.length, project.room.width, project.room.height]).toEqual(scenario.size_m);
      expect(project.source.kind).toBe(scenario.sourceKind);
      expect(project.stages.map(({ id }) => id)).toEqual(scenario.stages.map(({ id }) => id));
      for (const [id, microphone] of Object.entries(scenario.microphones)) {
        expect(project.positions[id]).toMatchObject({ microphone, source: scenario.source });
      }
    });

    it('has recordings that are the same each time, never exceed full scale, and hold the sounds where they are said to be', () => {
      const stage = scenario.stages[0]!;
      const position = Object.keys(scenario.microphones)[0]!;
      const take = stage.takes[position]![0]!;
      const response = stageResponse(scenario, stage, position);
      const first = synthesiseTake(scenario, { response, take, seed: 'a take' });
      expect(
        synthesiseTake(scenario, { response: stageResponse(scenario, stage, position), take, seed: 'a take' }),
      ).toEqual(first);
      expect(first.samples.reduce((most, value) => Math.max(most, Math.abs(value)), 0)).toBeLessThan(1);
      const { responses } = findResponses(first.samples, { rate_hz: scenario.rate_hz, kind: 'impulse' });
      expect(responses.map(({ used }) => used)).toEqual(first.onsets.map(() => true));
      responses.forEach(({ onset_s }, i) => {
        // A finger may touch up to a millisecond ahead of the clap.
        expect(Math.abs(onset_s - first.onsets[i]! / scenario.rate_hz)).toBeLessThan(0.0015);
      });
    });

    it('treats the room: no stage makes any band ring longer', () => {
      scenario.stages.slice(1).forEach((stage, i) => {
        stage.decay_s.forEach((decay_s, band) => {
          expect(decay_s).toBeLessThanOrEqual(scenario.stages[i]!.decay_s[band]!);
        });
      });
    });
  },
);
