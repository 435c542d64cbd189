import type { FaultCode } from '../../src/audio/faults.ts';
import type { Sound } from '../../src/audio/sound.ts';
import { complexSamplesOf, powerOfTwoFrom, spectrumOf } from '../../src/signal/fft.ts';
import type { EventScene } from './event-scene.ts';

/** A clean take made faulty in a known way. */
export interface Injection {
  code: FaultCode;
  strength: string;
  /** Share of takes in which it must be found; 0 where it is only measured, being too weak to leave a sure trace. */
  least: number;
  inject(scene: EventScene): Float64Array;
}

const factor = (db: number) => 10 ** (db / 20);

/** Overdriven by so many dB over full scale, then turned down. */
const clipped = (over_db: number, down_db: number, least = 0.95): Injection => ({
  least,
  code: 'clipped',
  strength: `${over_db} dB over full scale${down_db > 0 ? `, then ${down_db} dB down` : ''}`,
  inject: ({ samples }) => {
    const peak = samples.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
    const gain = factor(over_db) / peak;
    return samples.map((value) => Math.max(-1, Math.min(1, value * gain)) * factor(-down_db));
  },
});

/** Turned down by each event, and up again with the given time constant. */
const automaticGain = (depth_db: number, recovery_s: number, least = 0.9): Injection => ({
  least,
  code: 'automatic-gain',
  strength: `${depth_db} dB, recovering in ${recovery_s} s`,
  inject: ({ samples, claps, rate_hz }) => {
    const fall = Math.exp(-1 / (recovery_s * rate_hz));
    const onsets = new Set(claps.map(({ onset }) => onset));
    let reduction_db = 0;
    return samples.map((value, i) => {
      reduction_db = onsets.has(i) ? depth_db : reduction_db * fall;
      return value * factor(-reduction_db);
    });
  },
});

/** Shut when the level falls so far under the peak of the take, within the given time. */
const gated = (under_peak_db: number, depth_db: number, release_s: number, least = 0.8): Injection => ({
  least,
  code: 'noise-gate',
  strength: `at -${under_peak_db} dB, by ${Number.isFinite(depth_db) ? `${depth_db} dB` : 'all'} in ${release_s * 1000} ms`,
  inject: ({ samples, rate_hz }) => {
    const peak = samples.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
    const threshold = peak * factor(-under_peak_db);
    const follow = Math.exp(-1 / (0.01 * rate_hz));
    const step_db = Math.min(depth_db, 100) / (release_s * rate_hz);
    let envelope = 0;
    let reduction_db = Math.min(depth_db, 100);
    return samples.map((value) => {
      envelope = Math.max(Math.abs(value), envelope * follow);
      reduction_db = envelope > threshold ? 0 : Math.min(Math.min(depth_db, 100), reduction_db + step_db);
      return reduction_db >= depth_db || reduction_db >= 100
        ? value * factor(-depth_db)
        : value * factor(-reduction_db);
    });
  },
});

/** All above the given frequency taken out, as a coder with loss does. */
const lossy = (cutoff_hz: number): Injection => ({
  least: 0.95,
  code: 'lossy-coding',
  strength: `nothing above ${cutoff_hz / 1000} kHz`,
  inject: ({ samples, rate_hz }) => {
    const spectrum = spectrumOf(samples, powerOfTwoFrom(samples.length));
    const size = spectrum.length / 2;
    const first = Math.round((cutoff_hz * size) / rate_hz);
    spectrum.fill(0, 2 * first, 2 * (size - first + 1));
    const complex = complexSamplesOf(spectrum);
    return samples.map((_, i) => complex[2 * i]!);
  },
});

const offset = (share: number): Injection => ({
  least: 0.95,
  code: 'dc-offset',
  strength: `${share * 100} % of full scale`,
  inject: ({ samples }) => samples.map((value) => value + share),
});

/** A buzz of twelve harmonics, so many dB over the noise of the take. */
const hum = (mains_hz: number, over_noise_db: number): Injection => ({
  least: 0.95,
  code: 'mains-hum',
  strength: `${mains_hz} Hz, ${over_noise_db} dB over the noise`,
  inject: ({ samples, noise, rate_hz }) => {
    const noiseLevel = Math.sqrt(noise.reduce((sum, value) => sum + value * value, 0) / noise.length);
    const gain = noiseLevel * factor(over_noise_db);
    return samples.map((value, i) => {
      let buzz = 0;
      for (let h = 1; h <= 12; h++) buzz += Math.sin((2 * Math.PI * h * mains_hz * 1.0006 * i) / rate_hz + h * h) / h;
      return value + gain * buzz;
    });
  },
});

/** Samples lost in the decay of each event. */
const dropout = (seconds: number, after_s: number): Injection => ({
  least: 0.95,
  code: 'dropout',
  strength: `${seconds * 1000} ms lost ${after_s * 1000} ms after each event`,
  inject: ({ samples, claps, rate_hz }) => {
    const out = samples.slice();
    for (const { onset } of claps) {
      const start = onset + Math.round(after_s * rate_hz);
      out.fill(0, start, start + Math.round(seconds * rate_hz));
    }
    return out;
  },
});

/** Cut short so soon after the first event that its decay is still well above the noise. */
const cutShort = (after_s: number, least = 0.95): Injection => ({
  least,
  code: 'too-short',
  strength: `cut ${after_s * 1000} ms after the event`,
  inject: ({ samples, claps, rate_hz }) => samples.slice(0, claps[0]!.onset + Math.round(after_s * rate_hz)),
});

const noEvent: Injection = { least: 1, code: 'no-event', strength: 'nothing but noise', inject: ({ noise }) => noise };
const silent: Injection = {
  least: 1,
  code: 'silent',
  strength: 'zeros',
  inject: ({ samples }) => samples.map(() => 0),
};

export const INJECTIONS: readonly Injection[] = [
  clipped(1.5, 0, 0),
  clipped(3, 0, 0),
  clipped(6, 0),
  clipped(12, 0),
  clipped(6, 3),
  clipped(12, 6),
  automaticGain(6, 0.2, 0),
  automaticGain(4, 0.5, 0),
  automaticGain(6, 0.5, 0.8),
  automaticGain(10, 0.4, 0.8),
  automaticGain(10, 1),
  automaticGain(18, 0.6),
  gated(35, Number.POSITIVE_INFINITY, 0.005),
  gated(35, 40, 0.02),
  gated(40, 30, 0.05),
  gated(30, 20, 0.01),
  lossy(8000),
  lossy(11000),
  lossy(16000),
  offset(0.01),
  offset(0.05),
  hum(50, 6),
  hum(60, 12),
  hum(50, 20),
  dropout(0.001, 0.03),
  dropout(0.005, 0.05),
  dropout(0.02, 0.02),
  cutShort(0.06),
  cutShort(0.1, 0.8),
  noEvent,
  silent,
];

/** Samples as a recorder stores them. */
export function recorded(samples: Float64Array, { rate_hz, bits }: { rate_hz: number; bits: number }): Sound {
  const full = 2 ** (bits - 1);
  const stored = samples.map((value) => Math.max(-1, Math.min(1 - 1 / full, Math.round(value * full) / full)));
  return { rate_hz, channels: [stored], bits, sample_format: 'pcm', coding: 'WAV', lossy: false };
}
