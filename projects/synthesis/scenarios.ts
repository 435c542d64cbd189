import type { Point, WallReflection } from './box-reflections.ts';
import type { PerBand } from './decaying-noise.ts';
import type { SyntheticSource } from './sources.ts';

export interface SyntheticTake {
  /** File in the folder of its stage and position. */
  file: string;
  sounds: number;
  /** Made to fail: overdriven by so many dB, or spoken over. */
  mishap?: { overdrive_db: number } | 'speech';
}

export interface SyntheticStage {
  id: string;
  /** True decay time of each octave band from 63 Hz to 8 kHz. */
  decay_s: PerBand;
  walls: WallReflection;
  takes: Record<string, SyntheticTake[]>;
}

/** A made-up job: what is true of its rooms, so that what is read from its recordings can be held against it. */
export interface Scenario {
  folder: string;
  rate_hz: number;
  size_m: Point;
  source: Point;
  microphones: Record<string, Point>;
  sourceKind: SyntheticSource;
  /** Peak of the loudest sound, and root mean square of the background noise, full scale 1. */
  peak: number;
  noise: number;
  stages: SyntheticStage[];
}

/** Equivalent absorption area added to each band, in square metres. */
function treated(before_s: PerBand, size_m: Point, added_m2: PerBand): PerBand {
  const volume_m3 = size_m[0] * size_m[1] * size_m[2];
  // Sabine: A = 24 ln(10) V / (c T), 343.2 m/s at 20 degrees Celsius.
  const constant = (24 * Math.log(10) * volume_m3) / 343.2;
  return before_s.map((decay_s, band) => constant / (constant / decay_s + added_m2[band]!)) as unknown as PerBand;
}

const times = (area_m2: number, absorption: PerBand) => absorption.map((a) => a * area_m2) as unknown as PerBand;
const plus = (a: PerBand, b: PerBand) => a.map((value, band) => value + b[band]!) as unknown as PerBand;

const STUDIO_SIZE: Point = [5.6, 4.1, 2.9];
const STUDIO_BARE: PerBand = [0.72, 0.68, 0.82, 0.95, 1.0, 0.95, 0.82, 0.62];
/** What the products truly do here. The felt tiles do far less than their leaflet says, which the project file quotes. */
const CEILING = times(9, [0.06, 0.25, 0.68, 0.95, 1.0, 0.98, 0.92, 0.88]);
const CURTAIN = times(7.5, [0.03, 0.07, 0.28, 0.5, 0.66, 0.72, 0.74, 0.74]);
const FELT = times(6, [0.0, 0.01, 0.03, 0.06, 0.14, 0.3, 0.5, 0.6]);

const BEDROOM_SIZE: Point = [3.4, 2.7, 2.4];
const BEDROOM_BEFORE: PerBand = [0.6, 0.55, 0.52, 0.5, 0.48, 0.45, 0.4, 0.32];
const FOAM_AND_RUG = plus(
  times(4, [0.02, 0.06, 0.16, 0.4, 0.72, 0.9, 0.92, 0.92]),
  times(3, [0.01, 0.02, 0.04, 0.1, 0.22, 0.38, 0.5, 0.55]),
);

const afterCeiling = treated(STUDIO_BARE, STUDIO_SIZE, CEILING);
const afterCurtain = treated(STUDIO_BARE, STUDIO_SIZE, plus(CEILING, CURTAIN));
const afterFelt = treated(STUDIO_BARE, STUDIO_SIZE, plus(plus(CEILING, CURTAIN), FELT));

const good = (file: string, sounds = 3): SyntheticTake => ({ file, sounds });

export const SCENARIOS: readonly Scenario[] = [
  {
    folder: 'narration-studio',
    rate_hz: 48000,
    size_m: STUDIO_SIZE,
    source: [4.3, 2.9, 1.5],
    microphones: { A: [1.9, 1.4, 1.25], B: [1.4, 2.9, 1.25] },
    sourceKind: 'balloon',
    peak: 0.7,
    noise: 2e-4,
    stages: [
      {
        id: 'bare',
        decay_s: STUDIO_BARE,
        walls: [0.92, 0.92, 0.93, 0.9, 0.9, 0.93],
        takes: { A: [good('01.wav'), good('02.wav')], B: [good('01.wav'), good('02.wav')] },
      },
      {
        id: 'ceiling',
        decay_s: afterCeiling,
        walls: [0.92, 0.92, 0.93, 0.9, 0.9, 0.55],
        takes: {
          A: [good('01.wav'), good('02.wav'), { file: '03.wav', sounds: 3, mishap: 'speech' }],
          B: [good('01.wav'), good('02.wav')],
        },
      },
      {
        id: 'curtains',
        decay_s: afterCurtain,
        walls: [0.92, 0.92, 0.93, 0.7, 0.9, 0.55],
        takes: {
          A: [good('01.wav'), good('02.wav')],
          B: [good('01.wav'), good('02.wav'), { file: '03.wav', sounds: 3, mishap: { overdrive_db: 9 } }],
        },
      },
      {
        id: 'felt',
        decay_s: afterFelt,
        walls: [0.88, 0.92, 0.93, 0.7, 0.9, 0.55],
        takes: { A: [good('01.wav'), good('02.wav')], B: [good('01.wav'), good('02.wav')] },
      },
    ],
  },
  {
    folder: 'bedroom-vocals',
    rate_hz: 48000,
    size_m: BEDROOM_SIZE,
    source: [2.5, 0.8, 1.4],
    microphones: { desk: [0.9, 1.7, 1.15] },
    sourceKind: 'clap',
    peak: 0.55,
    noise: 1.6e-4,
    stages: [
      {
        id: 'before',
        decay_s: BEDROOM_BEFORE,
        walls: [0.9, 0.9, 0.9, 0.88, 0.88, 0.92],
        takes: { desk: [good('claps-1.wav', 4), good('claps-2.wav', 4)] },
      },
      {
        id: 'foam-and-rug',
        decay_s: treated(BEDROOM_BEFORE, BEDROOM_SIZE, FOAM_AND_RUG),
        walls: [0.72, 0.9, 0.72, 0.88, 0.75, 0.92],
        takes: { desk: [good('claps-1.wav', 4), good('claps-2.wav', 4)] },
      },
    ],
  },
];
