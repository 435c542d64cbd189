import * as z from 'zod';

/**
 * The exponential sine sweep of Farina (AES 108th Convention, Paris 2000, preprint 5093) as data: what is written beside the WAV
 * so that a recording of it can be read later. Times are seconds at the clock of the player.
 */
export const sweepDescriptionSchema = z
  .strictObject({
    format: z.literal('decaybook-sweep/1'),
    f1_hz: z.number().min(5),
    f2_hz: z.number().max(90_000),
    /** Length of one sweep. Longer ones would need transforms of more than 2^24 points. */
    duration_s: z.number().min(1).max(60),
    rate_hz: z.int().min(8000).max(192_000),
    fade_in_s: z.number().min(0),
    fade_out_s: z.number().min(0),
    /** Silence before the first sweep. */
    lead_in_s: z.number().min(0),
    /** Silence after every sweep, in which the room decays. */
    tail_s: z.number().min(0.2).max(30),
    /** Peak of the sweep relative to digital full scale. */
    level_dbfs: z.number().max(0),
    repeats: z.int().min(1).max(20),
  })
  .refine((sweep) => sweep.f2_hz > 2 * sweep.f1_hz, 'f2_hz must lie more than an octave above f1_hz')
  .refine((sweep) => sweep.f2_hz < sweep.rate_hz / 2, 'f2_hz must lie below half of rate_hz')
  .refine((sweep) => sweep.fade_in_s + sweep.fade_out_s < sweep.duration_s / 2, 'the fades take up half of the sweep');

export type SweepDescription = z.infer<typeof sweepDescriptionSchema>;

/**
 * The sweep written when nothing else is asked for. It reaches past the edges of the octaves 63 Hz to 8 kHz and of the thirds
 * 50 Hz to 10 kHz; its second harmonic comes 1.3 s early, longer than a treated small room decays; its peak leaves 12 dB so that
 * no player clips it. Common practice, no source.
 */
export const DEFAULT_SWEEP: SweepDescription = {
  format: 'decaybook-sweep/1',
  f1_hz: 30,
  f2_hz: 18_000,
  duration_s: 12,
  rate_hz: 48_000,
  fade_in_s: 0.1,
  fade_out_s: 0.01,
  lead_in_s: 2,
  tail_s: 4,
  level_dbfs: -12,
  repeats: 3,
};

/** Time in which the sweep rises by the factor e, seconds: L = T / ln(f2 / f1) (Farina 2000). */
export function sweepTimeConstant_s(sweep: SweepDescription): number {
  return sweep.duration_s / Math.log(sweep.f2_hz / sweep.f1_hz);
}

/** Instantaneous frequency in Hz at `time_s` from the start of the sweep: f1 exp(t / L) (Farina 2000). */
export function sweepFrequency_hz(sweep: SweepDescription, time_s: number): number {
  return sweep.f1_hz * Math.exp(time_s / sweepTimeConstant_s(sweep));
}

/** By how many seconds the response of harmonic `order` comes before the linear one: L ln k (Farina 2000). */
export function harmonicAdvance_s(sweep: SweepDescription, order: number): number {
  return sweepTimeConstant_s(sweep) * Math.log(order);
}

export interface SweepAtRate {
  /** Rate of the samples wanted; it may differ from the description's. */
  rate_hz: number;
  /** Length of a second of the player's clock on the recorder's clock; 1 + 100e-6 where the recorder runs 100 ppm fast. */
  stretch?: number;
  /** The sweep is cut where it passes this frequency, on the recorder's clock. Default: 0.48 of rate_hz. */
  top_hz?: number;
}

/** What a sweep looks like to a recorder: its time constant, its start frequency and how much of it fits under the top. */
interface SeenSweep {
  f1_hz: number;
  f2_hz: number;
  timeConstant_s: number;
  duration_s: number;
}

function seenSweep(sweep: SweepDescription, at: SweepAtRate): SeenSweep {
  const stretch = at.stretch ?? 1;
  const timeConstant_s = sweepTimeConstant_s(sweep) * stretch;
  const f1_hz = sweep.f1_hz / stretch;
  const f2_hz = Math.min(sweep.f2_hz / stretch, at.top_hz ?? 0.48 * at.rate_hz);
  if (f2_hz <= f1_hz) throw new RangeError(`a sweep from ${f1_hz} Hz has nothing below ${f2_hz} Hz`);
  return { f1_hz, f2_hz, timeConstant_s, duration_s: timeConstant_s * Math.log(f2_hz / f1_hz) };
}

/** Half a cosine from 0 to 1 over `width` for `x` from 0. */
function fade(x: number, width: number): number {
  return x >= width ? 1 : 0.5 - 0.5 * Math.cos((Math.PI * x) / width);
}

/**
 * One sweep without the silence around it, as a recorder at `rate_hz` with a clock off by `stretch` would get it: samples from -1
 * to 1 times the stated level. x(t) = sin(2 pi f1 L (exp(t / L) - 1)) (Farina 2000), half-cosine fades at both ends.
 * Throws a RangeError where the recorder's rate leaves nothing of it.
 */
export function exponentialSweep(sweep: SweepDescription, at: SweepAtRate): Float64Array {
  const seen = seenSweep(sweep, at);
  const amplitude = 10 ** (sweep.level_dbfs / 20);
  const samples = new Float64Array(Math.floor(seen.duration_s * at.rate_hz) + 1);
  const turns = seen.f1_hz * seen.timeConstant_s;
  for (let n = 0; n < samples.length; n += 1) {
    const time_s = n / at.rate_hz;
    const gain = fade(time_s, sweep.fade_in_s) * fade(seen.duration_s - time_s, sweep.fade_out_s);
    samples[n] = amplitude * gain * Math.sin(2 * Math.PI * turns * Math.expm1(time_s / seen.timeConstant_s));
  }
  return samples;
}

/**
 * The inverse filter of `exponentialSweep` with the same arguments: the sweep reversed in time, its amplitude times exp(-t / L) with
 * t from its own start, which falls by 20 lg(f2 / f1) dB in all, 6.02 dB an octave (Farina 2000). Scaled so that sweep and inverse
 * convolved have gain 1 in the band: by stationary phase the product of their spectra is rate^2 A^2 L / (4 f2).
 */
export function inverseSweep(sweep: SweepDescription, at: SweepAtRate): Float64Array {
  const seen = seenSweep(sweep, at);
  const amplitude = 10 ** (sweep.level_dbfs / 20);
  const scale = (4 * seen.f2_hz) / (amplitude ** 2 * seen.timeConstant_s * at.rate_hz ** 2);
  const inverse = exponentialSweep(sweep, at).reverse();
  for (let n = 0; n < inverse.length; n += 1) {
    inverse[n]! *= scale * Math.exp(-n / (at.rate_hz * seen.timeConstant_s));
  }
  return inverse;
}

/** The whole signal to play: lead-in silence, then each sweep with its tail of silence, at the description's rate. */
export function sweepSignal(sweep: SweepDescription): Float64Array {
  const one = exponentialSweep(sweep, { rate_hz: sweep.rate_hz, top_hz: sweep.f2_hz });
  const lead_samples = Math.round(sweep.lead_in_s * sweep.rate_hz);
  const period_samples = Math.round((sweep.duration_s + sweep.tail_s) * sweep.rate_hz);
  const samples = new Float64Array(lead_samples + sweep.repeats * period_samples);
  for (let k = 0; k < sweep.repeats; k += 1) samples.set(one, lead_samples + k * period_samples);
  return samples;
}
