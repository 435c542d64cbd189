import { describe, expect, it } from 'vitest';
import { memoryRefusal } from '../../src/audio/reading-memory.ts';

const minutes = (count: number, rate_hz: number) => count * 60 * rate_hz;

describe('memoryRefusal({ frames, channels })', () => {
  it('lets a sound of usual length through, and names the limit for half an hour of stereo at 96 kHz', () => {
    expect(memoryRefusal({ frames: minutes(10, 48_000), channels: 1 })).toBeNull();
    expect(memoryRefusal({ frames: minutes(10, 48_000), channels: 2 })).toBeNull();
    expect(memoryRefusal({ frames: minutes(30, 96_000), channels: 2 })).toBe(
      'it would take 5.81 GB of memory to read, and 1.25 GB is the most that is used: cut it into shorter files',
    );
  });

  it('counts every channel, since all are decoded', () => {
    const frames = minutes(10, 48_000);
    expect([2, 3, 4].map((channels) => memoryRefusal({ frames, channels }) === null)).toEqual([true, true, false]);
  });
});
