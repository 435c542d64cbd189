import { describe, expect, it } from 'vitest';
import { chooseChannel, projectChannel, rankChannels } from '../../src/audio/choose-channel.ts';
import type { Sound } from '../../src/audio/sound.ts';

const wave = (gain: number, offset = 0) =>
  Float64Array.from({ length: 2000 }, (_, i) => Math.max(-1, Math.min(1, gain * Math.sin(0.37 * i) + offset)));
const sound = (...channels: Float64Array[]): Sound => ({
  rate_hz: 48000,
  channels,
  bits: 24,
  sample_format: 'pcm',
  coding: 'WAV',
  lossy: false,
});

describe('channels', () => {
  it('rankChannels puts the loudest unclipped channel first, whatever its offset', () => {
    const ranks = rankChannels(sound(wave(0.1, 0.6), wave(0.3), wave(2)));
    expect(ranks.map(({ channel }) => channel)).toEqual([2, 1, 3]);
    expect(ranks.map(({ clipped }) => clipped)).toEqual([false, false, true]);
  });

  it('projectChannel settles on one channel that all takes have, unclipped in most', () => {
    const loudSecond = rankChannels(sound(wave(0.2), wave(0.5)));
    const clippedSecond = rankChannels(sound(wave(0.2), wave(3)));
    expect(projectChannel([loudSecond, loudSecond])).toBe(2);
    expect(projectChannel([loudSecond, clippedSecond])).toBe(1);
    expect(projectChannel([loudSecond, rankChannels(sound(wave(0.1)))])).toBe(1);
    expect(projectChannel([])).toBe(1);
  });

  it('chooseChannel takes the mean away and nothing else, and leaves the sound alone', () => {
    const stereo = sound(wave(0.2), wave(0.4, 0.1));
    const before = stereo.channels[1]!.slice();
    const chosen = chooseChannel(stereo, 2)!;
    expect(chosen.dc_offset).toBeCloseTo(0.1, 2);
    expect(chosen.samples[7]! + chosen.dc_offset).toBeCloseTo(before[7]!, 12);
    expect(stereo.channels[1]).toEqual(before);
    expect(chooseChannel(stereo, 3)).toBeNull();
  });
});
