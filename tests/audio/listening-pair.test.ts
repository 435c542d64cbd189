import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../projects/synthesis/random.ts';
import { encodeWav } from '../../src/audio/encode-wav.ts';
import { listeningPair } from '../../src/audio/listening-pair.ts';
import { passagePair } from '../../src/audio/passage-pair.ts';
import type { Response } from '../../src/audio/response.ts';
import { directEnergy } from '../../src/room/late-level.ts';
import { dbToAmplitude } from '../../src/signal/decibels.ts';

const RATE_HZ = 48_000;

/** A response of so many seconds after time zero, its direct sound of the given level. */
function response(
  name: string,
  { level, seconds, rate_hz = RATE_HZ }: { level: number; seconds: number; rate_hz?: number },
): Response {
  const random = seededRandom(name);
  const zero_sample = Math.round(0.02 * rate_hz);
  const samples = Float64Array.from({ length: zero_sample + Math.round(seconds * rate_hz) }, (_, i) => {
    const t = (i - zero_sample) / rate_hz;
    return t < 0 ? 1e-5 * random.normal() : level * (i === zero_sample ? 1 : 0.1 * random.normal() * Math.exp(-20 * t));
  });
  return { rate_hz, onset_s: 1, samples, zero_sample, used: true, faults: [] };
}

const direct = ({ samples, rate_hz, zero_sample }: Response) => directEnergy(samples, rate_hz, zero_sample);
const peak = (samples: Float64Array) => samples.reduce((most, value) => Math.max(most, Math.abs(value)), 0);

describe('listeningPair([before, after], direct)', () => {
  const before = response('before', { level: 0.9, seconds: 1.4 });
  const after = response('after', { level: 0.2, seconds: 0.9 });
  const pair = listeningPair([before, after], [direct(before), direct(after)]);

  it('applies one gain to each recording, the one it states, and alters nothing else', () => {
    [before, after].forEach(({ samples }, i) => {
      const gain = dbToAmplitude(pair.gain_db[i]!);
      pair.clips[i]!.forEach((value, n) => {
        expect(Math.abs(value - gain * samples[n]!)).toBeLessThan(1e-12);
      });
    });
  });

  it('cuts both to the length of the shorter', () => {
    expect(pair.clips[0].length).toBe(pair.clips[1].length);
    expect(pair.clips[0].length).toBe(Math.round(0.92 * RATE_HZ));
  });

  it('brings their direct sound to one level, the louder peak at -3 dB', () => {
    const zero = before.zero_sample;
    const levels = pair.clips.map((clip) => directEnergy(clip, RATE_HZ, zero));
    expect(Math.abs(levels[0]! / levels[1]! - 1)).toBeLessThan(1e-9);
    expect(Math.max(...pair.clips.map(peak))).toBeCloseTo(dbToAmplitude(-3), 9);
  });

  it('cuts recordings of two sample rates to the same time', () => {
    const other = response('other', { level: 0.5, seconds: 2, rate_hz: 44_100 });
    const { clips, rate_hz } = listeningPair([before, other], [direct(before), direct(other)]);
    expect(Math.abs(clips[0].length / rate_hz[0] - clips[1].length / rate_hz[1])).toBeLessThan(1e-4);
  });

  it('loses no more than half a step of 24 bits on its way into a WAV file', () => {
    const bytes = encodeWav(pair.clips[0], RATE_HZ, 24);
    const view = new DataView(bytes.buffer, bytes.byteOffset);
    const start = bytes.length - 3 * pair.clips[0].length;
    pair.clips[0].forEach((value, n) => {
      const at = start + 3 * n;
      const step = view.getUint16(at, true) + view.getInt8(at + 2) * 65536;
      expect(Math.abs(step / 2 ** 23 - value)).toBeLessThanOrEqual(0.51 / 2 ** 23);
    });
  });
});

describe('passagePair(before, after)', () => {
  it('cuts both to the length of the shorter and applies one gain to each, the one it states', () => {
    const noise = (name: string, seconds: number, level: number) => {
      const random = seededRandom(name);
      return {
        rate_hz: RATE_HZ,
        samples: Float64Array.from({ length: seconds * RATE_HZ }, () => level * random.normal()),
      };
    };
    const [one, other] = [noise('one', 3, 0.1), noise('other', 2, 0.02)];
    const pair = passagePair(one, other)!;
    expect(pair.clips.map((clip) => clip.length)).toEqual([2 * RATE_HZ, 2 * RATE_HZ]);
    [one, other].forEach(({ samples }, i) => {
      const gain = dbToAmplitude(pair.gain_db[i]!);
      expect(pair.clips[i]!.every((value, n) => Math.abs(value - gain * samples[n]!) < 1e-12)).toBe(true);
    });
  });
});
