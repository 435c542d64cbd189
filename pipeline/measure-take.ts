import { readBackground } from '../src/audio/background.ts';
import { readCalibration } from '../src/audio/calibration.ts';
import { directSpectrum_db } from '../src/audio/direct-spectrum.ts';
import { faultMessage } from '../src/audio/fault-messages.ts';
import type { Fault } from '../src/audio/faults.ts';
import { readPassage } from '../src/audio/passage.ts';
import type { Response } from '../src/audio/response.ts';
import { switchOffs } from '../src/audio/switch-offs.ts';
import type { ResponseResult, ResponseTrace, TakeResult } from '../src/report/results.ts';
import type { Beforehand } from '../src/room/beforehand.ts';
import { curveIntelligibility } from '../src/room/curve-intelligibility.ts';
import type { DecayLevels } from '../src/room/decay-levels.ts';
import { directEnergy } from '../src/room/late-level.ts';
import { lateLift } from '../src/room/late-lift.ts';
import { modeDecays } from '../src/room/mode-decay.ts';
import { type ResponseOptions, readBands, readResponse } from '../src/room/read-response.ts';
import type { BandReading, BandWidth, DecayCurve } from '../src/room/reading.ts';
import { powerToDb } from '../src/signal/decibels.ts';
import type { AlignedTake } from './align.ts';

/** One channel of a take: its samples are looked at only where the kind has no responses that were cut out of it. */
export interface WholeTake {
  samples: Float64Array;
  rate_hz: number;
  seconds: number;
}

/** What was read off one take, whatever its kind. */
export interface MeasuredTake
  extends Pick<TakeResult, 'responses' | 'clock_ppm' | 'background' | 'calibration' | 'passage'> {
  /** Those of the kind: that there is nothing in it to measure. */
  faults: Fault[];
  traces: Omit<ResponseTrace, 'file' | 'stage' | 'position'>[];
}

/**
 * Reads an aligned take by its kind: each response band by band; where interrupted noise was switched off, to be averaged over the takes
 * of a position; the levels of a background or passage; the level of a calibrator's tone.
 *
 * @param options.level_db what the calibrator states, dB relative to 20 uPa; undefined where the project does not say
 * @param options.widths the bands that responses are read in
 * @param options.beforehand what was worked out of each response before, in order, where anything was
 */
export function measureTake(
  take: WholeTake,
  { kind, responses, clock_ppm }: AlignedTake,
  options: {
    level_db: number | undefined;
    widths: readonly BandWidth[];
    beforehand?: readonly (Beforehand | null)[] | null;
  },
): MeasuredTake {
  switch (kind) {
    case 'impulse':
    case 'response':
    case 'sweep': {
      const clap = kind === 'impulse';
      const { widths, beforehand } = options;
      const each = responses.map((response, i) => readOne(response, { clap, widths, beforehand: beforehand?.[i] }));
      const read = clap ? withoutLifted(each) : each;
      const clock = clock_ppm === null ? {} : { clock_ppm };
      const traces = read.flatMap(({ trace }) => trace ?? []);
      return { responses: read.map(({ result }) => result), faults: [], traces, ...clock };
    }
    case 'noise-off':
      return decaysOf(take);
    case 'background':
      return backgroundOf(take);
    case 'calibration':
      return calibrationOf(take, options.level_db);
    case 'passage':
      return { ...NOTHING, passage: readPassage(take.samples, take) };
    default:
      return kind satisfies never;
  }
}

const NOTHING = { responses: [], faults: [], traces: [] };

interface ReadResponse {
  result: ResponseResult;
  trace: MeasuredTake['traces'][number] | null;
  levels: DecayLevels[];
}

function readOne(
  response: Response,
  { clap, ...options }: { clap: boolean } & Pick<ResponseOptions, 'widths' | 'beforehand'>,
): ReadResponse {
  const { rate_hz, zero_sample, onset_s, samples, used, faults } = response;
  if (!used) return { result: { onset_s, used, faults, bands: [], reflections: [] }, trace: null, levels: [] };
  const { bands, reflections, curves, levels, early } = readResponse(samples, { rate_hz, zero_sample, ...options });
  const direct = clap ? directEnergy(samples, rate_hz, zero_sample) : 0;
  const spectrum = clap ? directSpectrum_db(samples, rate_hz, zero_sample) : null;
  const level = {
    ...(direct > 0 ? { direct_db: powerToDb(direct) } : {}),
    ...(spectrum === null ? {} : { direct_spectrum_db: spectrum }),
  };
  // A clap holds too little down there.
  const bass = clap ? {} : { modes: modeDecays(samples, { rate_hz, zero_sample }) };
  return {
    result: { onset_s, used, faults, bands, reflections, ...level, ...bass },
    trace: { onset_s, curves, early, speech: curveIntelligibility(bands, curves) },
    levels,
  };
}

/** Claps in whose decay another sound sets in, as their siblings show, are set aside: most of their bands could not tell alone. */
function withoutLifted(read: ReadResponse[]): ReadResponse[] {
  const used = read.filter(({ result }) => result.used);
  return read.map((one) => {
    const siblings = used.filter((other) => other !== one).map(({ levels }) => levels);
    const lift = one.result.used ? lateLift(one.levels, siblings) : null;
    if (lift === null) return one;
    const fault = faultMessage('events-too-close', { kind: 'other-sound', after_s: lift.after_s });
    const { onset_s, faults } = one.result;
    const result = { onset_s, used: false, faults: [...faults, fault], bands: [], reflections: [] };
    return { result, trace: null, levels: [] };
  });
}

/** What one response gave in some bands. */
export interface ReadBands {
  bands: BandReading[];
  curves: DecayCurve[];
}

/** The one-third octaves alone of every response of a take, in order; nothing of those that are not used. */
export function measureThirds({ responses }: AlignedTake): ReadBands[] {
  return responses.map(({ used, samples, rate_hz, zero_sample }) => {
    if (!used) return { bands: [], curves: [] };
    const { bands, curves } = readBands(samples, { rate_hz, zero_sample, widths: ['third-octave'] });
    return { bands, curves };
  });
}

function decaysOf({ samples, rate_hz }: WholeTake): MeasuredTake {
  const responses = switchOffs(samples, rate_hz).map(({ switch_off_sample }): ResponseResult => {
    return { onset_s: switch_off_sample / rate_hz, used: true, faults: [], bands: [], reflections: [] };
  });
  const faults = responses.length > 0 ? [] : [faultMessage('no-event', { wanted: 'switch-off' })];
  return { ...NOTHING, responses, faults };
}

function backgroundOf({ samples, rate_hz, seconds }: WholeTake): MeasuredTake {
  const background = readBackground(samples, { rate_hz, direct: null, offset_db: null });
  if (background === null) return { ...NOTHING, faults: [faultMessage('too-short', { background_s: seconds })] };
  return { ...NOTHING, background: { ...background, responses: 0, calibrated_by: null } };
}

function calibrationOf({ samples, rate_hz }: WholeTake, level_db: number | undefined): MeasuredTake {
  if (level_db === undefined) return { ...NOTHING, faults: [faultMessage('undescribed', { missing: 'level' })] };
  const read = readCalibration(samples, { rate_hz, level_db });
  if (!read.ok) return { ...NOTHING, faults: [faultMessage('no-event', { reason: read.reason })] };
  const { offset_db, tone_db, frequency_hz, seconds } = read;
  return { ...NOTHING, calibration: { offset_db, tone_db, frequency_hz, seconds } };
}
