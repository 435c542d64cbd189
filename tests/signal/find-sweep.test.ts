import { describe, expect, it } from 'vitest';
import { readResponse } from '../../src/room/read-response.ts';
import { findSweep } from '../../src/signal/find-sweep.ts';
import { DEFAULT_SWEEP, type SweepDescription } from '../../src/signal/sweep.ts';
import { recordSweep, roomResponse, talk } from './sweep-recording.ts';

const SWEEP: SweepDescription = { ...DEFAULT_SWEEP, duration_s: 6, tail_s: 1.5, repeats: 1 };
const SHORT: SweepDescription = { ...SWEEP, f1_hz: 60, f2_hz: 12_000, duration_s: 3, tail_s: 1 };

/** T20 by octave of a response, null where refused. */
function t20(samples: Float64Array, options: { rate_hz: number; zero_sample: number }): Map<number, number | null> {
  const { bands } = readResponse(samples, { ...options, widths: ['octave'] });
  return new Map(bands.map((band) => [band.centre_hz, band.t20_s]));
}

/** The response with digital silence before time zero, so that it reads like one that was cut from a recording. */
function ready(response: Float64Array, rate_hz: number): [Float64Array, { rate_hz: number; zero_sample: number }] {
  const lead = Math.round(0.02 * rate_hz);
  const samples = new Float64Array(response.length + lead);
  samples.set(response, lead);
  return [samples, { rate_hz, zero_sample: lead }];
}

describe('findSweep(samples, options)', () => {
  // Farina 2000: harmonics of the loudspeaker come out before the linear response, which is left clean.
  it('gives back T20 within 1 % under noise at -30 dB and 1 % of second and third harmonic', () => {
    const rate_hz = 48_000;
    const response = roomResponse({ rate_hz, decay_s: 0.45, seconds: 1.2, seed: 1 });
    const truth = t20(...ready(response, rate_hz));
    const samples = recordSweep({
      description: SWEEP,
      rate_hz,
      seconds: 11,
      starts_s: [2.3],
      response,
      distortion: 0.01,
      noise_db: -30,
      seed: 2,
    });
    const [found] = findSweep(samples, { rate_hz, description: SWEEP }).responses;
    const read = t20(found!.samples, { rate_hz, zero_sample: found!.zero_sample });
    for (const centre_hz of [125, 250, 500, 1000, 2000, 4000, 8000]) {
      expect(truth.get(centre_hz)).not.toBeNull();
      expect(Math.abs(read.get(centre_hz)! / truth.get(centre_hz)! - 1)).toBeLessThan(0.01);
    }
  });

  it('finds the sweep after a minute of talk', () => {
    const rate_hz = 16_000;
    const description = { ...SHORT, f2_hz: 7000 };
    const response = roomResponse({ rate_hz, decay_s: 0.3, seconds: 0.8, seed: 3 });
    const samples = recordSweep({
      description,
      rate_hz,
      seconds: 66,
      starts_s: [61],
      response,
      noise_db: -30,
      seed: 4,
    });
    talk(60, rate_hz, 5).forEach((x, n) => {
      samples[n]! += x;
    });
    const found = findSweep(samples, { rate_hz, description });
    expect(found.responses.map(({ onset_s }) => Math.abs(onset_s - 61) < 0.001)).toEqual([true]);
  });

  it('finds nothing in talk alone, nor in silence', () => {
    const rate_hz = 16_000;
    const description = { ...SHORT, f2_hz: 7000 };
    expect(findSweep(talk(30, rate_hz, 6), { rate_hz, description }).responses).toEqual([]);
    expect(findSweep(new Float64Array(10 * rate_hz), { rate_hz, description }).responses).toEqual([]);
  });

  // The inverse filter spreads a clap over seconds, one frequency after the other: none of it arrives at once.
  it('takes no clap for a sweep, and finds the sweep among claps louder than itself', () => {
    const rate_hz = 16_000;
    const description = { ...SHORT, f2_hz: 7000 };
    const response = roomResponse({ rate_hz, decay_s: 0.5, seconds: 1, seed: 13 });
    const recording = { description, rate_hz, seconds: 24, response, noise_db: -30, seed: 14 };
    const clap = (samples: Float64Array, at_s: number) => {
      response.forEach((x, n) => {
        samples[Math.round(at_s * rate_hz) + n]! += 0.9 * x;
      });
    };
    const claps = recordSweep({ ...recording, starts_s: [] });
    for (const at_s of [4, 8.3, 17, 20.7]) clap(claps, at_s);
    expect(findSweep(claps, { rate_hz, description })).toEqual({ responses: [], clock_ppm: null, broken: [] });
    const both = recordSweep({ ...recording, starts_s: [12.5] });
    for (const at_s of [4, 8.3, 11.4, 17, 20.7]) clap(both, at_s);
    const found = findSweep(both, { rate_hz, description });
    expect(found.responses.map(({ onset_s }) => Math.abs(onset_s - 12.5) < 0.001)).toEqual([true]);
  });

  it('does not read one sweep with the description of one that is quite another', () => {
    const rate_hz = 16_000;
    const played = { ...SHORT, f2_hz: 7000 };
    const response = roomResponse({ rate_hz, decay_s: 0.3, seconds: 0.8, seed: 15 });
    const samples = recordSweep({
      description: played,
      rate_hz,
      seconds: 8,
      starts_s: [2],
      response,
      noise_db: -30,
      seed: 16,
    });
    for (const change of [{ duration_s: 2.5 }, { duration_s: 4 }, { f1_hz: 300 }]) {
      expect(findSweep(samples, { rate_hz, description: { ...played, ...change } }).responses).toEqual([]);
    }
  });

  it('refuses a clock that is off by more than clocks are', () => {
    const rate_hz = 32_000;
    const response = roomResponse({ rate_hz, decay_s: 0.3, seconds: 0.8, seed: 17 });
    const recording = { description: SHORT, rate_hz, seconds: 7, starts_s: [1.5], response, noise_db: -30, seed: 18 };
    const found = findSweep(recordSweep({ ...recording, clock_ppm: 350 }), { rate_hz, description: SHORT });
    expect(found).toMatchObject({ responses: [], clock_ppm: null, broken: [{ reason: 'another-sweep' }] });
  });

  // 15 ppm of this sweep move its top against its bottom by 15e-6 L ln(f2 / f1) = 45 us, two samples.
  it.each([
    [44_100, 100],
    [44_100, -100],
    [96_000, 40],
  ])('reads a recording at %d Hz whose clock is off by %d ppm', (rate_hz, clock_ppm) => {
    const response = roomResponse({ rate_hz, decay_s: 0.3, seconds: 0.8, seed: 7 });
    const truth = t20(...ready(response, rate_hz));
    const samples = recordSweep({
      description: SHORT,
      rate_hz,
      seconds: 7,
      starts_s: [1.5],
      clock_ppm,
      response,
      noise_db: -30,
      seed: 8,
    });
    const found = findSweep(samples, { rate_hz, description: SHORT });
    expect(Math.abs(found.clock_ppm! - clock_ppm)).toBeLessThanOrEqual(15);
    const [one] = found.responses;
    const read = t20(one!.samples, { rate_hz, zero_sample: one!.zero_sample });
    for (const centre_hz of [250, 500, 1000, 2000, 4000]) {
      expect(Math.abs(read.get(centre_hz)! / truth.get(centre_hz)! - 1)).toBeLessThan(0.01);
    }
  });

  it('keeps repeats apart, or averages them and so gains 10 lg n dB over the noise', () => {
    const rate_hz = 44_100;
    const recording = {
      description: SHORT,
      rate_hz,
      seconds: 14,
      starts_s: [1, 5.00013, 9.00021],
      response: roomResponse({ rate_hz, decay_s: 0.2, seconds: 0.5, seed: 9 }),
      noise_db: -20,
      seed: 10,
    };
    const samples = recordSweep(recording);
    const apart = findSweep(samples, { rate_hz, description: SHORT }).responses;
    const [mean] = findSweep(samples, { rate_hz, description: SHORT, average: true }).responses;
    expect(apart.map(({ sweeps }) => sweeps)).toEqual([1, 1, 1]);
    expect(mean!.sweeps).toBe(3);
    const noise = (x: Float64Array) =>
      x.subarray(x.length - 20_000, x.length - 2000).reduce((sum, y) => sum + y * y, 0);
    const gain_db = 10 * Math.log10(noise(apart[0]!.samples) / noise(mean!.samples));
    expect(Math.abs(gain_db - 10 * Math.log10(3))).toBeLessThan(0.5);
    const peak = (x: Float64Array) => x.subarray(0, 4000).reduce((most, y) => Math.max(most, Math.abs(y)), 0);
    expect(peak(mean!.samples) / peak(apart[0]!.samples)).toBeGreaterThan(0.98);
  });

  it('names a sweep that the recording holds in part, and reads no response from it', () => {
    const rate_hz = 32_000;
    const response = roomResponse({ rate_hz, decay_s: 0.2, seconds: 0.5, seed: 11 });
    const cut = (starts_s: number[], seconds: number) =>
      findSweep(recordSweep({ description: SHORT, rate_hz, seconds, starts_s, response, noise_db: -30, seed: 12 }), {
        rate_hz,
        description: SHORT,
      });
    expect(cut([-0.7], 6)).toMatchObject({ responses: [], broken: [{ reason: 'starts-before-recording' }] });
    expect(cut([1], 3.5)).toMatchObject({ responses: [], broken: [{ reason: 'ends-after-recording' }] });
  });
});
