import { type EventSection, eventSection } from './event-filter.ts';
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
  const views = new Views(rate_hz);
  const high = new Float64Array(frames + 1);
  const whole = new Float64Array(frames + 1);
  const low = new Float64Array(frames + 1);
  for (let frame = 0; frame < frames; frame++) {
    views.pass(samples, frame * frame_samples, (frame + 1) * frame_samples);
    high[frame + 1] = views.high;
    whole[frame + 1] = views.whole;
    low[frame + 1] = views.low;
  }
  return { high, whole, low };
}

/**
 * The filters of all three views, side by side, and the energy that has come through each. Their gains are taken out to the energies: a
 * high-pass is then a second difference, which both of them share, and its poles.
 */
class Views {
  readonly #highPass: EventSection;
  readonly #wholePass: EventSection;
  readonly #lowPass: EventSection;
  #highSum = 0;
  #wholeSum = 0;
  #lowSum = 0;
  /** What each filter keeps from one stretch to the next: that of the differences, then two values for the poles of each view. */
  readonly #kept = new Float64Array(10);

  constructor(rate_hz: number) {
    this.#highPass = eventSection({ rate_hz, corner_hz: HIGH_HZ, pass: 'high' });
    this.#wholePass = eventSection({ rate_hz, corner_hz: RUMBLE_HZ, pass: 'high' });
    this.#lowPass = eventSection({ rate_hz, corner_hz: LOW_HZ, pass: 'low' });
  }

  get high(): number {
    return this.#highPass.b0 ** 2 * this.#highSum;
  }

  get whole(): number {
    return this.#wholePass.b0 ** 2 * this.#wholeSum;
  }

  get low(): number {
    return (this.#wholePass.b0 * this.#lowPass.b0) ** 2 * this.#lowSum;
  }

  /** The stretch from one index to another, which follows on the one before. */
  pass(samples: Float64Array, from: number, to: number): void {
    const { a1: ha1, a2: ha2 } = this.#highPass;
    const { a1: wa1, a2: wa2 } = this.#wholePass;
    const { a1: la1, a2: la2 } = this.#lowPass;
    const kept = this.#kept;
    let xBefore = kept[0]!;
    let stepBefore = kept[1]!;
    let wholeBefore = kept[2]!;
    let pairBefore = kept[3]!;
    let h1 = kept[4]!;
    let h2 = kept[5]!;
    let w1 = kept[6]!;
    let w2 = kept[7]!;
    let l1 = kept[8]!;
    let l2 = kept[9]!;
    let highSum = 0;
    let wholeSum = 0;
    let lowSum = 0;
    for (let i = from; i < to; i++) {
      const x = samples[i]!;
      const step = x - xBefore;
      const bend = step - stepBefore;
      xBefore = x;
      stepBefore = step;
      const high = bend + h1;
      h1 = h2 - ha1 * high;
      h2 = -ha2 * high;
      const whole = bend + w1;
      w1 = w2 - wa1 * whole;
      w2 = -wa2 * whole;
      const pair = whole + wholeBefore;
      const low = pair + pairBefore + l1;
      wholeBefore = whole;
      pairBefore = pair;
      l1 = l2 - la1 * low;
      l2 = -la2 * low;
      highSum += high * high;
      wholeSum += whole * whole;
      lowSum += low * low;
    }
    this.#highSum += highSum;
    this.#wholeSum += wholeSum;
    this.#lowSum += lowSum;
    kept[0] = xBefore;
    kept[1] = stepBefore;
    kept[2] = wholeBefore;
    kept[3] = pairBefore;
    kept[4] = h1;
    kept[5] = h2;
    kept[6] = w1;
    kept[7] = w2;
    kept[8] = l1;
    kept[9] = l2;
  }
}
