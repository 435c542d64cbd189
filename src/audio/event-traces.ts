import { eventFilter } from './event-filter.ts';
import { type LevelTrace, levelTrace, quietLevel_db } from './level-trace.ts';

/** The views of a recording in which events are looked for. */
export interface EventTraces {
  /** The samples above 800 Hz: here a clap stands out from steps, doors, rumble and most of speech. */
  high: Float64Array;
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

/** Prepares the traces of one channel. */
export function eventTraces(samples: Float64Array, rate_hz: number): EventTraces {
  const high = eventFilter(samples, { rate_hz, corner_hz: HIGH_HZ, pass: 'high' });
  const whole = eventFilter(samples, { rate_hz, corner_hz: RUMBLE_HZ, pass: 'high' });
  const low = eventFilter(whole, { rate_hz, corner_hz: LOW_HZ, pass: 'low' });
  const highLevels = levelTrace(high, rate_hz);
  const lowLevels = levelTrace(low, rate_hz);
  return {
    high,
    highLevels,
    lowLevels,
    wholeLevels: levelTrace(whole, rate_hz),
    highFloor_db: quietLevel_db(highLevels),
    lowFloor_db: quietLevel_db(lowLevels, { stretch_frames: LOW_STRETCH_FRAMES }),
  };
}
