import type { Fault } from '../audio/faults.ts';
import type { Project, TakeKind } from '../project/project.ts';
import type { BandReading, DecayCurve, Reflection } from '../room/reading.ts';
import type { Change, StageFinding } from '../statistics/finding.ts';

/** One response of a take, as it stands in results.json. */
export interface ResponseResult {
  onset_s: number;
  used: boolean;
  faults: Fault[];
  bands: BandReading[];
  reflections: Reflection[];
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
}

/** Two clips to hear one after the other: a clap from before and one from after, from one place in the room. */
export interface ListeningClips {
  from: string;
  to: string;
  position: string;
  /** What the levels were matched by; never by peak. */
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
  changes: Change[];
  listening?: ListeningClips[];
}

/** What the charts need beyond results.json: kept with a take, never printed as numbers. Same order as TakeResult.responses. */
export interface ResponseTrace {
  file: string;
  stage: string;
  position: string;
  onset_s: number;
  curves: DecayCurve[];
  early: { step_s: number; level_db: number[] };
}
