import { type BrokenReason, type FoundSweeps, findSweep } from '../signal/find-sweep.ts';
import type { SweepDescription } from '../signal/sweep.ts';
import { FAULT_SEVERITY, type Fault, type FaultCode } from './faults.ts';
import type { Response } from './response.ts';

export interface SweepTake {
  /** In order of time; one a recorded sweep, or a single one where they were averaged. */
  responses: Response[];
  faults: Fault[];
  /** By how many parts per million the recorder's clock ran fast against the player's; null where no sweep was whole. */
  clock_ppm: number | null;
}

/** A sweep that goes on for less than this at the recorder's rate covers too few octaves to be told from other sound. */
const LEAST_OCTAVES = 2;

/**
 * The impulse responses of a take of kind `sweep`, each with time zero at its direct sound, as `findSweep` recovers them. Their samples
 * are scaled so that 1 is a path that returns the sweep at its own level.
 *
 * @param samples one channel of the recording at `rate_hz`, full scale 1; the recording may begin and end anywhere.
 * @param options.description the sweep that was played.
 * @param options.average one response that is the mean of all repeats, instead of one each.
 * @returns no responses, and a fault of severity reject, where no whole sweep is found.
 */
export function sweepResponses(
  samples: Float64Array,
  options: { rate_hz: number; description: SweepDescription; average?: boolean },
): SweepTake {
  const { rate_hz, description } = options;
  if (0.48 * rate_hz < description.f1_hz * 2 ** LEAST_OCTAVES) {
    const message = `a sample rate of ${rate_hz} Hz holds less than two octaves of the sweep: record at 44100 or 48000 Hz`;
    return { responses: [], faults: [fault('rate-too-low', message)], clock_ppm: null };
  }
  const found = findSweep(samples, options);
  const responses = found.responses.map(({ onset_s, samples: cut, zero_sample }) => {
    return { rate_hz, onset_s, samples: cut, zero_sample, used: true, faults: [] };
  });
  return { responses, faults: faultsOf(found), clock_ppm: found.clock_ppm };
}

function fault(code: FaultCode, message: string): Fault {
  return { code, severity: FAULT_SEVERITY[code], message };
}

const BROKEN_WORDS: Record<BrokenReason, string> = {
  'starts-before-recording':
    'the recording begins after the sweep had started: start recording first, then play the sweep',
  'ends-after-recording':
    'the recording stops before the sweep and its decay have ended: let it run for three seconds after the sweep',
  'another-sweep':
    'the sweep recorded is not the one described beside the project: play the file that was written with it',
};

function faultsOf({ responses, broken }: FoundSweeps): Fault[] {
  if (responses.length > 0) return [];
  const first = broken[0];
  if (!first) {
    const message = 'the sweep was not found: check that this recording is of the file played, whole and loud enough';
    return [fault('no-event', message)];
  }
  return [fault(first.reason === 'another-sweep' ? 'no-event' : 'too-short', BROKEN_WORDS[first.reason])];
}
