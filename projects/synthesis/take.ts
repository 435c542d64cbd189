import { convolve } from '../../src/signal/fft.ts';
import { backgroundNoise } from './background.ts';
import { speech } from './clutter.ts';
import { seededRandom } from './random.ts';
import { roomResponse } from './room-response.ts';
import type { Scenario, SyntheticStage, SyntheticTake } from './scenarios.ts';
import { soundOfSource } from './sources.ts';

/** Samples of a room response: 1.4 s at 48 kHz, in which the longest decay of the scenarios falls by 80 dB. */
const RESPONSE_LENGTH = 65536;
const LEAD_S: readonly [number, number] = [0.9, 1.3];
const GAP_S: readonly [number, number] = [1.9, 2.3];

/** The fixed answer of a synthetic room at one place in one stage: the same in every take there. */
export function stageResponse(scenario: Scenario, stage: SyntheticStage, position: string): Float64Array {
  const random = seededRandom(`${scenario.folder}/${stage.id}/${position}`);
  const room = { ...scenario, microphone: scenario.microphones[position]!, walls: stage.walls, decay_s: stage.decay_s };
  return roomResponse(random, room, { rate_hz: scenario.rate_hz, length: RESPONSE_LENGTH });
}

/** One synthetic recording, and the sample at which each sound begins in it. */
export interface SynthesisedTake {
  samples: Float64Array;
  onsets: number[];
}

/**
 * One recording of a scenario: sounds of varying spectrum and strength at irregular gaps in the room's answer, over
 * background noise, with the mishap that was asked for. Full scale is 1; nothing exceeds it.
 *
 * @param response what `stageResponse` gave for the stage and position
 * @param seed a name of the recording, such as its path
 */
export function synthesiseTake(
  scenario: Scenario,
  { response, take, seed }: { response: Float64Array; take: SyntheticTake; seed: string },
): SynthesisedTake {
  const random = seededRandom(seed);
  const { rate_hz } = scenario;
  const gaps_s = Array.from({ length: take.sounds }, () => random.between(...GAP_S));
  const lead_s = random.between(...LEAD_S);
  const seconds = lead_s + gaps_s.reduce((sum, gap) => sum + gap, 0);
  const samples = backgroundNoise(random, { length: Math.round(seconds * rate_hz), level: scenario.noise, rate_hz });
  const onsets: number[] = [];
  let at_s = lead_s;
  for (const gap_s of gaps_s) {
    const onset = Math.round(at_s * rate_hz);
    const peak = scenario.peak * 10 ** (-random.between(0, 5) / 20);
    add(samples, soundOfSource(random, response, { source: scenario.sourceKind, rate_hz }), { at: onset, gain: peak });
    onsets.push(onset);
    at_s += gap_s;
  }
  if (take.mishap === 'speech') {
    // Someone speaks into the decay of the second sound and after the last.
    const spoken = convolve(speech(random, { seconds: 1.3, rate_hz }), response.subarray(0, RESPONSE_LENGTH / 2));
    add(samples, spoken, { at: onsets[1]! + Math.round(0.12 * rate_hz), gain: loudness(spoken, 0.08) });
  } else if (take.mishap) {
    const gain = 10 ** (take.mishap.overdrive_db / 20) / scenario.peak;
    for (let i = 0; i < samples.length; i++) samples[i] = Math.max(-1, Math.min(1, samples[i]! * gain));
  }
  return { samples, onsets };
}

/** Gain that brings the loudest sample to the given peak. */
function loudness(samples: Float64Array, peak: number): number {
  return peak / samples.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
}

function add(out: Float64Array, sound: Float64Array, { at, gain }: { at: number; gain: number }): void {
  const end = Math.min(out.length, at + sound.length);
  for (let i = at; i < end; i++) out[i]! += gain * sound[i - at]!;
}
