import type { Advice } from '../advice/advice.ts';
import type { Background } from '../audio/background.ts';
import type { Calibration } from '../audio/calibration.ts';
import type { Fault } from '../audio/faults.ts';
import type { Passage, SpectrumChange } from '../audio/passage.ts';
import type { PhotoFile } from '../project/find-photos.ts';
import type { Project, TakeKind } from '../project/project.ts';
import type { CurveIntelligibility } from '../room/curve-intelligibility.ts';
import type { ModeDecay } from '../room/mode-decay.ts';
import type { BandReading, DecayCurve, Reflection } from '../room/reading.ts';
import type { Change, StageFinding } from '../statistics/finding.ts';
import type { Remark } from './remarks.ts';
import type { StageSpeech } from './speech-by-stage.ts';

/** One response of a take, as it stands in results.json. */
export interface ResponseResult {
  onset_s: number;
  used: boolean;
  faults: Fault[];
  bands: BandReading[];
  reflections: Reflection[];
  /** Claps: energy of the direct sound (first 5 ms, 500 Hz and up), squared amplitude times seconds, dB. */
  direct_db?: number;
  /** Claps: colour of the direct sound, its octaves from 1 to 8 kHz relative to their sum, dB. */
  direct_spectrum_db?: number[];
  /** Interrupted noise: decays of this position that were averaged, and whose mean `bands` are read from. */
  decays?: number;
  /** Interrupted noise: the response whose `bands` this decay was averaged into, as file@onset; its own are empty. */
  averaged_into?: string;
  /** Decays of single resonances, of sweeps and ready responses only. */
  modes?: ModeDecay[];
}

/** A background with what its levels were set against. */
export interface BackgroundResult extends Background {
  /** Used claps of the same stage that `relative_db` rests on. */
  responses: number;
  /** The calibration take that the sound pressure levels rest on. */
  calibrated_by: string | null;
}

export interface TakeResult {
  file: string;
  sha256: string | null;
  stage: string;
  position: string;
  kind: TakeKind | null;
  rate_hz: number | null;
  seconds: number | null;
  /** Channel used, counted from 1. */
  channel: number | null;
  used: boolean;
  faults: Fault[];
  responses: ResponseResult[];
  /** Of a sweep: by how many parts per million the recorder's clock ran fast against the player's. */
  clock_ppm?: number;
  background?: BackgroundResult;
  calibration?: Omit<Calibration, 'ok'>;
  passage?: Passage;
}

/** How speech or music at one position sounds after a treatment, against before. */
export interface PassageChange {
  position: string;
  recordings: [before: string, after: string];
  /** Colour, not loudness: one-third octaves, each take relative to its own sum. */
  spectrum: SpectrumChange[];
  /** Level in the gaps relative to the passage, after less before; null where either take has none, with the reason. */
  pause_change_db: number | null;
  pause_refusal: string | null;
}

/** A comparison of two stages, with the passages recorded in both. */
export type ChangeResult = Change & { passages?: PassageChange[] };

/** Two clips to hear one after the other, from before and from after, at one place in the room: a clap, or a passage. */
export interface ListeningClips {
  from: string;
  to: string;
  position: string;
  /** What the levels were matched by, never by peak: claps by direct sound, passages by loudness (ITU-R BS.1770). */
  matched_by: 'direct-sound' | 'loudness';
  clips: [before: ListeningClip, after: ListeningClip];
}

export interface ListeningClip {
  /** Relative to the report folder. */
  file: string;
  recording: string;
  onset_s: number;
  /** Applied to the recording; nothing else was altered. */
  gain_db: number;
}

/** The whole of results.json. */
export interface Results {
  format: 'decaybook-results/1';
  tool: { name: 'decaybook'; version: string };
  project: Project;
  takes: TakeResult[];
  stages: StageFinding[];
  changes: ChangeResult[];
  listening?: ListeningClips[];
  /** What several takes show beside each other: outliers, wrong folders, changed gain. */
  remarks?: Remark[];
  /** Photos that the report shows. */
  photos?: PhotoFile[];
  /** What it means and what to do next. */
  advice?: Advice;
  /** Speech transmission index, stage by stage. */
  speech?: StageSpeech[];
}

/** What the charts need beyond results.json: kept with a take, never printed as numbers. Same order as TakeResult.responses. */
export interface ResponseTrace {
  file: string;
  stage: string;
  position: string;
  onset_s: number;
  curves: DecayCurve[];
  early: { step_s: number; level_db: ArrayLike<number> };
  /** What the decay does to speech; left out where it was not reckoned as the take was read. */
  speech?: CurveIntelligibility;
}
