import type { Fault } from './faults.ts';

/** One clap, pop or ready impulse response, cut out of a take. */
export interface Response {
  rate_hz: number;
  /** Where time zero lies in the file, in seconds. */
  onset_s: number;
  /** The cut: some milliseconds of lead before time zero, then the whole decay into the noise. */
  samples: Float64Array;
  /** Index of time zero in `samples` (ISO 3382-1: first sample at or above 20 dB below the direct sound's maximum). */
  zero_sample: number;
  used: boolean;
  faults: Fault[];
}
