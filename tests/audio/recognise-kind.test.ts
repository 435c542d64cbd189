import { describe, expect, it } from 'vitest';
import { backgroundNoise } from '../../projects/synthesis/background.ts';
import { speech } from '../../projects/synthesis/clutter.ts';
import { seededRandom } from '../../projects/synthesis/random.ts';
import { chooseChannel } from '../../src/audio/choose-channel.ts';
import { examineTake } from '../../src/audio/examine-take.ts';
import type { SourceKind } from '../../src/project/project.ts';
import { eventScene } from '../bench/event-scene.ts';
import { recorded } from '../bench/fault-injection.ts';

const rate_hz = 48000;
const noise = (seconds: number, level = 1e-4) =>
  backgroundNoise(seededRandom(`kind ${seconds}`), { length: seconds * rate_hz, level, rate_hz });
const over = (length_s: number, value: (t: number) => number) => {
  const samples = noise(length_s);
  return samples.map((hiss, i) => hiss + value(i / rate_hz));
};
function kindOf(samples: Float64Array, source: SourceKind | null = null): string {
  const sound = recorded(samples, { rate_hz, bits: 24 });
  const { kind, faults } = examineTake({ sound, ...chooseChannel(sound, 1)! }, { kind: null, source });
  expect(faults.map(({ code }) => code)).toContain('kind-guessed');
  return kind;
}

describe('the kind of a take, recognised by its sound', () => {
  it('claps are an impulse take', () => {
    for (let i = 0; i < 3; i++)
      expect(kindOf(eventScene(`kind ${i}`, { clutter: false }).samples, 'clap')).toBe('impulse');
  });

  it('one event at the start of a short file is a ready response, unless the source is a clap', () => {
    const { samples, claps } = eventScene('kind', { clutter: false });
    const only = samples.slice(claps[0]!.onset - 400, claps[0]!.onset + rate_hz);
    expect(kindOf(only)).toBe('response');
    expect(kindOf(only, 'clap')).toBe('impulse');
  });

  it('speech is a passage', () => {
    for (let i = 0; i < 4; i++) {
      const spoken = speech(seededRandom(`passage ${i}`), { seconds: 6, rate_hz });
      const samples = noise(6);
      expect(kindOf(samples.map((value, k) => value + 0.1 * spoken[k]!))).toBe('passage');
    }
  });

  it('a quiet room is background', () => {
    expect(kindOf(noise(8))).toBe('background');
  });

  it('an exponential sweep is a sweep', () => {
    const [low, high, seconds] = [40, 16000, 6];
    const pace = seconds / Math.log(high / low);
    const sweep = over(8, (t) =>
      t < 0.5 || t > 6.5 ? 0 : 0.3 * Math.sin(2 * Math.PI * low * pace * (Math.exp((t - 0.5) / pace) - 1)),
    );
    expect(kindOf(sweep)).toBe('sweep');
  });

  it('a steady tone at 1 kHz is a calibration', () => {
    expect(kindOf(over(5, (t) => 0.2 * Math.sin(2 * Math.PI * 1000 * t)))).toBe('calibration');
  });

  it('loud noise that is switched off is interrupted noise', () => {
    const loud = noise(7, 0.1);
    const samples = noise(7);
    const gain = (t: number) => (t < 0.5 ? 0 : t < 3.5 ? 1 : 10 ** ((-3 * (t - 3.5)) / 0.5));
    expect(kindOf(samples.map((value, i) => value + gain(i / rate_hz) * loud[i]!))).toBe('noise-off');
  });

  it('noise that is switched off again and again is interrupted noise', () => {
    const random = seededRandom('interrupted');
    const cycle_s = 3.2;
    const gain = (t: number) => (t % cycle_s < 2 ? 1 : 10 ** ((-3 * ((t % cycle_s) - 2)) / 0.4));
    expect(kindOf(over(3 * cycle_s, (t) => 0.05 * gain(t) * random.normal()))).toBe('noise-off');
  });
});
