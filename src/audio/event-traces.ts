import { eventSection } from './event-filter.ts';
import { type LevelTrace, quietLevel_db } from './level-trace.ts';

/** The views of a recording in which events are looked for. */
export interface EventTraces {
  /** Above 800 Hz: here a clap stands out from steps, doors, rumble and most of speech. */
  highLevels: LevelTrace;
  /** 60 to 400 Hz: here a door or a step shows that spoils the bass of a decay. */
  lowLevels: LevelTrace;
  /** Above 60 Hz. */
  wholeLevels: LevelTrace;
  highFloor_db: number;
  lowFloor_db: number;
}

const HIGH_HZ = 800;
const LOW_HZ = 400;
const RUMBLE_HZ = 60;
/** In the bass a level needs a longer stretch to settle. */
const LOW_STRETCH_FRAMES = 100;

/**
 * Prepares the traces of one channel: frames of one millisecond, rounded to whole samples; a last frame that is not full is
 * left out. The three filters run side by side in one pass, since this is done over the whole of every recording.
 */
export function eventTraces(samples: Float64Array, rate_hz: number): EventTraces {
  const frame_samples = Math.max(1, Math.round(rate_hz / 1000));
  const frames = Math.floor(samples.length / frame_samples);
  const traceOf = (cumulative: Float64Array): LevelTrace => {
    return { frame_samples, frame_s: frame_samples / rate_hz, frames, cumulative };
  };
  const energies = filtered(samples, rate_hz, { frame_samples, frames });
  const highLevels = traceOf(energies.high);
  const lowLevels = traceOf(energies.low);
  return {
    highLevels,
    lowLevels,
    wholeLevels: traceOf(energies.whole),
    highFloor_db: quietLevel_db(highLevels),
    lowFloor_db: quietLevel_db(lowLevels, { stretch_frames: LOW_STRETCH_FRAMES }),
  };
}

/** The energy of all three views before each frame. */
function filtered(
  samples: Float64Array,
  rate_hz: number,
  { frame_samples, frames }: { frame_samples: number; frames: number },
) {
  const h = eventSection({ rate_hz, corner_hz: HIGH_HZ, pass: 'high' });
  const w = eventSection({ rate_hz, corner_hz: RUMBLE_HZ, pass: 'high' });
  const l = eventSection({ rate_hz, corner_hz: LOW_HZ, pass: 'low' });
  const [highs, wholes, lows] = [0, 1, 2].map(() => new Float64Array(frames + 1)) as [
    Float64Array,
    Float64Array,
    Float64Array,
  ];
  let [h1, h2, w1, w2, l1, l2] = [0, 0, 0, 0, 0, 0];
  let [highSum, wholeSum, lowSum] = [0, 0, 0];
  for (let frame = 0, i = 0; i < samples.length; frame++) {
    for (const end = Math.min(samples.length, i + frame_samples); i < end; i++) {
      const x = samples[i]!;
      const y = h.b0 * x + h1;
      h1 = h.b1 * x - h.a1 * y + h2;
      h2 = h.b0 * x - h.a2 * y;
      const whole = w.b0 * x + w1;
      w1 = w.b1 * x - w.a1 * whole + w2;
      w2 = w.b0 * x - w.a2 * whole;
      const low = l.b0 * whole + l1;
      l1 = l.b1 * whole - l.a1 * low + l2;
      l2 = l.b0 * whole - l.a2 * low;
      highSum += y * y;
      wholeSum += whole * whole;
      lowSum += low * low;
    }
    if (frame === frames) break;
    highs[frame + 1] = highSum;
    wholes[frame + 1] = wholeSum;
    lows[frame + 1] = lowSum;
  }
  return { high: highs, whole: wholes, low: lows };
}
