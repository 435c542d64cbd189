import type { EventScene } from './event-scene.ts';

/** What a clap of a scene deserves. Where it is a matter of opinion, it counts neither way. */
export interface ClapTruth {
  /** Time zero by ISO 3382-1 on the clap alone. */
  zero: number;
  deserves: 'use' | 'set-aside' | 'either';
}

const FRAME_S = 0.02;

/**
 * What each clap of a scene deserves, judged from its parts, which a recording never gives: a clap is to be used when all
 * else stays well under its decay until the decay is under the noise, and to be set aside when something rises well above
 * the decay while that is still well above the noise, when the recording ends before, or when it cannot be heard out.
 */
export function clapTruths(scene: EventScene): ClapTruth[] {
  const { rate_hz, claps } = scene;
  const frame = Math.round(FRAME_S * rate_hz);
  const bands = [treble, bass];
  const judged = claps.map(() => ({ spoiled: false, doubtful: false }));
  for (const filter of bands) {
    const noise_db = powerLevel_db(filter(scene.noise));
    claps.forEach(({ onset, sound }, i) => {
      const others = new Float64Array(scene.samples.length);
      for (const other of claps.filter((_, k) => k !== i)) add(others, other.sound, other.onset);
      for (const other of scene.clutter) add(others, other.sound, other.start);
      judge(judged[i]!, {
        own: filter(sound),
        others: filter(others),
        onset,
        frame,
        noise_db,
        inBass: filter === bass,
      });
    });
  }
  return claps.map(({ onset, sound }, i) => {
    const { spoiled, doubtful } = judged[i]!;
    const zero = onset + isoStart(sound, rate_hz);
    return { zero, deserves: spoiled ? 'set-aside' : doubtful ? 'either' : 'use' };
  });
}

function judge(
  verdict: { spoiled: boolean; doubtful: boolean },
  given: { own: Float64Array; others: Float64Array; onset: number; frame: number; noise_db: number; inBass: boolean },
): void {
  const { own, others, onset, frame, noise_db, inBass } = given;
  if (inBass) {
    judgeBass(verdict, given);
    return;
  }
  const direct_db = powerLevel_db(own.subarray(0, frame));
  if (direct_db < noise_db + 22) verdict.doubtful = true;
  if (direct_db < noise_db + 14) verdict.spoiled = true;
  // A rise of 20 dB over what sounds just before is what makes an event.
  if (powerLevel_db(others.subarray(Math.max(0, onset - 2 * frame), onset)) > direct_db - 24) verdict.doubtful = true;
  for (let at = 0; ; at += frame) {
    const own_db = powerLevel_db(own.subarray(at, at + frame));
    if (own_db < noise_db) return;
    const heardOut = onset + at + frame <= others.length;
    const others_db = heardOut ? powerLevel_db(others.subarray(onset + at, onset + at + frame)) : own_db;
    if (own_db > noise_db + CLEAR_DB && (!heardOut || others_db > own_db + 10)) verdict.spoiled = true;
    if (!heardOut || others_db > own_db - 3) verdict.doubtful = true;
    if (!heardOut) return;
  }
}

/** So far above the noise, a decay has clearly not come down to it. */
const CLEAR_DB = 10;

/** In the bass a clap leaves little; what sounds there beside it may or may not spoil a reading. */
function judgeBass(
  verdict: { doubtful: boolean },
  {
    own,
    others,
    onset,
    frame,
    noise_db,
  }: { own: Float64Array; others: Float64Array; onset: number; frame: number; noise_db: number },
): void {
  for (let at = 0; at < BASS_S / FRAME_S; at++) {
    const [from, to] = [at * frame, (at + 1) * frame];
    const own_db = powerLevel_db(own.subarray(from, to));
    const others_db = powerLevel_db(others.subarray(onset + from, onset + to));
    if (others_db > Math.max(own_db, noise_db) + 3) verdict.doubtful = true;
  }
}

/** So long after a clap its bass may matter. */
const BASS_S = 0.4;

/** First sample at or above 20 dB below the largest of the direct sound, which lies within its first 2.5 ms. */
function isoStart(sound: Float64Array, rate_hz: number): number {
  const direct = sound.subarray(0, Math.round(0.0025 * rate_hz));
  const largest = direct.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  return direct.findIndex((value) => Math.abs(value) >= largest / 10);
}

/** Treble: what a second-order high-pass at about 1 kHz leaves. */
function treble(samples: Float64Array): Float64Array {
  let first = 0;
  let second = 0;
  return samples.map((value) => {
    first += 0.13 * (value - first);
    second += 0.13 * (value - first - second);
    return value - first - second;
  });
}

/** Bass: a running mean that falls by 6 dB an octave above 300 Hz, the very lowest taken off. */
function bass(samples: Float64Array): Float64Array {
  let low = 0;
  let lowest = 0;
  return samples.map((value) => {
    low += 0.04 * (value - low);
    lowest += 0.008 * (low - lowest);
    return low - lowest;
  });
}

function powerLevel_db(samples: Float64Array): number {
  let sum = 0;
  for (const value of samples) sum += value * value;
  return samples.length === 0 ? Number.NEGATIVE_INFINITY : 10 * Math.log10(sum / samples.length + 1e-20);
}

function add(out: Float64Array, sound: Float64Array, at: number): void {
  const end = Math.min(out.length, at + sound.length);
  for (let i = at; i < end; i++) out[i]! += sound[i - at]!;
}
