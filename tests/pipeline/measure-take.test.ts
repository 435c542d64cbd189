import { expect, test } from 'vitest';
import { alignTake } from '../../pipeline/align.ts';
import { measureTake, measureThirds } from '../../pipeline/measure-take.ts';
import { normaliseTake } from '../../pipeline/normalise.ts';
import { joinedTake } from '../../pipeline/take-parts.ts';
import type { TakeResult } from '../../src/report/results.ts';
import { eventScene } from '../bench/event-scene.ts';
import { recorded } from '../bench/fault-injection.ts';

test('a clap with another sound in its decay is set aside, the others stay, and no third octave of it comes back', () => {
  const scene = eventScene('another sound', { clutter: false, source: 'balloon' });
  const [, second, third] = scene.claps;
  const samples = scene.samples.slice();
  const start = second!.onset + Math.round(0.06 * scene.rate_hz);
  for (let i = 0; i < third!.sound.length && start + i < samples.length; i++) {
    samples[start + i]! += 10 ** (-12 / 20) * third!.sound[i]!;
  }
  const measure = (sound: Float64Array) => {
    const take = normaliseTake(recorded(sound, { rate_hz: scene.rate_hz, bits: 24 }), 1)!;
    const aligned = alignTake(take, { kind: 'impulse', source: 'balloon', sweep: { sweep: null } });
    return { aligned, ...measureTake(take, aligned, { level_db: undefined, widths: ['octave'] }) };
  };
  expect(measure(scene.samples).responses.map(({ used }) => used)).toEqual([true, true, true, true]);
  const { aligned, responses, traces } = measure(samples);
  // What shows by itself is found before anything is read; this does not.
  expect(aligned.responses.map(({ used }) => used)).toEqual([true, true, true, true]);
  expect(responses.map(({ used }) => used)).toEqual([true, false, true, true]);
  expect(responses[1]!.bands).toEqual([]);
  expect(responses[1]!.faults[0]!.message).toMatch(/^another sound starts 0\.0[4-9] s after it, before the decay/);
  expect(traces).toHaveLength(3);
  const thirds = measureThirds(aligned);
  const joined = joinedTake({ octaves: { result: { responses } as TakeResult, traces: [] }, thirds });
  expect(joined.result.responses.map(({ bands }) => bands.length)).toEqual([32, 0, 32, 32]);
});
