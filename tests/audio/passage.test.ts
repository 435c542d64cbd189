import { describe, expect, it } from 'vitest';
import { matchingGains_db, readPassage, spectrumChange } from '../../src/audio/passage.ts';
import { convolve } from '../../src/signal/fft.ts';
import { gaussian } from '../signal/sweep-recording.ts';

const RATE_HZ = 16_000;

/** Noise in bursts of 0.3 s with gaps of 0.3 s, over a floor. */
function bursts(seconds: number, seed: number): Float64Array {
  const noise = gaussian(seed);
  return Float64Array.from({ length: seconds * RATE_HZ }, (_, n) => {
    return noise() * (n % (0.6 * RATE_HZ) < 0.3 * RATE_HZ ? 0.1 : 0.0001);
  });
}

function inRoom(dry: Float64Array, decay_s: number): Float64Array {
  const noise = gaussian(99);
  const room = Float64Array.from({ length: Math.round(1.2 * decay_s * RATE_HZ) }, (_, n) => {
    return noise() * 10 ** ((-3 * n) / (RATE_HZ * decay_s));
  });
  const gain = 1 / Math.sqrt((RATE_HZ * decay_s) / 13.8155);
  return convolve(dry, room)
    .subarray(0, dry.length)
    .map((x) => x * gain);
}

describe('readPassage(samples, options)', () => {
  it('hears pauses fill up with reverberation, as far as the decay over a pause says', () => {
    const dry = bursts(12, 1);
    const [live, dead] = [1, 0.4].map((decay_s) => readPassage(inRoom(dry, decay_s), { rate_hz: RATE_HZ }));
    // Bursts and pauses of 0.3 s in a room with k = ln(10^6) / T settle at 1 / (1 + exp(-0.3 k)) at the end of a burst. The level exceeded nine
    // tenths of the time is that 0.24 s later; the gated loudness is the mean, 3.01 dB under a burst that goes on. Blocks of 50 ms average
    // over 60 / T * 0.05 dB of decay, whence the bound.
    for (const [read, decay_s, bound_db] of [
      [live, 1, 1.5],
      [dead, 0.4, 3],
    ] as const) {
      const k = Math.log(1e6) / decay_s;
      const expected_db = 10 * Math.log10(Math.exp(-0.24 * k) / (1 + Math.exp(-0.3 * k))) + 3.01;
      expect(Math.abs(read!.pause_level_db! - expected_db)).toBeLessThan(bound_db);
    }
  });

  it('reads the loudness of ITU-R BS.1770', () => {
    // EBU Tech 3341, signal 1, as mono: one channel less is 3.01 dB less.
    const sine = Float64Array.from(
      { length: 12 * RATE_HZ },
      (_, n) => 10 ** (-23 / 20) * Math.sin((2 * Math.PI * 1000 * n) / RATE_HZ),
    );
    const read = readPassage(sine, { rate_hz: RATE_HZ });
    expect(Math.abs(read.integrated_lufs! + 26.01)).toBeLessThan(0.1);
    expect([read.pause_level_db, read.pause_refusal]).toEqual([null, 'the passage has no pauses']);
  });

  it.each([
    [new Float64Array(11 * RATE_HZ), 'silent'],
    [bursts(6, 2), '6.0 s long, 10 needed'],
    [bursts(12, 3), null],
    [Float64Array.from(bursts(12, 4), (x, n) => (n % (0.6 * RATE_HZ) < 0.3 * RATE_HZ ? x : 0)), 'digital silence'],
  ])('gives a pause level or the reason why not (%#)', (samples, words) => {
    const { pause_level_db, pause_refusal } = readPassage(samples, { rate_hz: RATE_HZ });
    if (words === null) expect(pause_level_db).toBeLessThan(-30);
    else expect([pause_level_db, pause_refusal]).toEqual([null, expect.stringContaining(words)]);
  });
});

describe('spectrumChange(before, after)', () => {
  it('is the change of colour, free of the change of level', () => {
    const before = [100, 1000, 4000].map((centre_hz) => ({ centre_hz, level_db: -40 }));
    const louder = before.map(({ centre_hz, level_db }) => ({ centre_hz, level_db: level_db + 7 }));
    for (const { difference_db } of spectrumChange(before, louder)) expect(Math.abs(difference_db)).toBeLessThan(1e-9);
    const darker = [
      { centre_hz: 100, level_db: -40 },
      { centre_hz: 1000, level_db: -43 },
      { centre_hz: 4000, level_db: null },
    ];
    const change = spectrumChange(before, darker);
    expect(change.map(({ centre_hz }) => centre_hz)).toEqual([100, 1000]);
    expect(change[0]!.difference_db - change[1]!.difference_db).toBeCloseTo(3, 9);
  });
});

describe('matchingGains_db(before, after)', () => {
  it('brings both to one loudness, neither peak above -3 dB', () => {
    const [quiet, loud] = [0.3, 2].map((gain) => {
      const samples = bursts(11, 5).map((x) => gain * x);
      return { samples, integrated_lufs: readPassage(samples, { rate_hz: RATE_HZ }).integrated_lufs };
    });
    const gains = matchingGains_db(quiet!, loud!)!;
    expect(quiet!.integrated_lufs! + gains.before).toBeCloseTo(loud!.integrated_lufs! + gains.after, 9);
    expect(gains.before - gains.after).toBeCloseTo(20 * Math.log10(2 / 0.3), 1);
    const peaks_db = [quiet!, loud!].map(({ samples }, i) => {
      return (
        20 * Math.log10(samples.reduce((most, x) => Math.max(most, Math.abs(x)), 0)) +
        (i === 0 ? gains.before : gains.after)
      );
    });
    expect(Math.max(...peaks_db)).toBeCloseTo(-3, 9);
  });

  it('has none for silence', () => {
    expect(
      matchingGains_db(
        { samples: new Float64Array(4), integrated_lufs: null },
        { samples: new Float64Array(4), integrated_lufs: -20 },
      ),
    ).toBeNull();
  });
});
