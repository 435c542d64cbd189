import type { Project, Purpose } from '../project/project.ts';
import { roomVolume_m3 } from '../project/room-size.ts';

/** The decay time wanted in one octave, and the span of tolerance about it, in seconds. */
export interface TargetBand {
  centre_hz: number;
  target_s: number;
  low_s: number;
  high_s: number;
}

export type TargetRefusal = 'no-standard' | 'no-volume' | 'too-small' | 'too-large';

export interface TargetCurve {
  ok: true;
  /** The document, edition and part the figures come from. */
  source: string;
  /** One entry an octave, ascending. Octaves the document leaves open, or that we know too loosely, are absent. */
  centre: TargetBand[];
  /** `formula`: from the volume. `span`: the volume lies outside the formula and the end of the published span holds. `asked`: stated in the project. */
  basis: 'formula' | 'span' | 'asked';
  /** Whether the figures hold for the room with its people in it; an empty room may then read longer. */
  occupied: boolean;
  /** What a reader must know to use the figures, or null. */
  note: string | null;
}

export interface NoTarget {
  ok: false;
  code: TargetRefusal;
  /** Why there is none, as the end of a sentence that starts "no target:". */
  reason: string;
}

export type Target = TargetCurve | NoTarget;

/** A line of DIN 18041:2016 group A: T = slope lg V + offset, in seconds, between two effective volumes in m3. */
export interface SchoolLine {
  use: 'A1' | 'A2' | 'A3' | 'A4' | 'A5';
  slope_s: number;
  offset_s: number;
  from_m3: number;
  to_m3: number;
}

/** DIN 18041:2016-03, group A, occupied room, mean of the 500 and 1000 Hz octaves. A3 over 1000 m3 is a lecture, not a lesson. */
export const SCHOOL_LINES: readonly SchoolLine[] = [
  { use: 'A1', slope_s: 0.45, offset_s: 0.07, from_m3: 30, to_m3: 1000 },
  { use: 'A2', slope_s: 0.37, offset_s: -0.14, from_m3: 50, to_m3: 5000 },
  { use: 'A3', slope_s: 0.32, offset_s: -0.17, from_m3: 30, to_m3: 5000 },
  { use: 'A4', slope_s: 0.26, offset_s: -0.14, from_m3: 30, to_m3: 500 },
  { use: 'A5', slope_s: 0.75, offset_s: -1.0, from_m3: 200, to_m3: 10000 },
];

/** Tolerance of T over target, A1 to A4 of DIN 18041:2016. From memory: 250 Hz to 2 kHz surely, the outer octaves fairly surely. */
const SCHOOL_TOLERANCE: readonly [centre_hz: number, low: number, high: number][] = [
  [63, 0.5, 1.7],
  [125, 0.65, 1.45],
  [250, 0.8, 1.2],
  [500, 0.8, 1.2],
  [1000, 0.8, 1.2],
  [2000, 0.8, 1.2],
  [4000, 0.65, 1.2],
  [8000, 0.5, 1.2],
];

/** Octaves inside 200 Hz to 4 kHz, where the listening-room documents hold the decay within 0.05 s of its mean; a stated target holds there too. */
const LISTENING_OCTAVES_HZ = [250, 500, 1000, 2000, 4000] as const;
const LISTENING_TOLERANCE_S = 0.05;
const LISTENING_SPAN_S = { low: 0.2, high: 0.4 } as const;

/**
 * Decay time in seconds that DIN 18041:2016 group A asks of a room of `volume_m3`, as the mean of 500 and 1000 Hz with
 * people in it; null where the volume lies outside the range the line is given for.
 */
export function schoolTarget_s(use: SchoolLine['use'], volume_m3: number): number | null {
  const line = SCHOOL_LINES.find((candidate) => candidate.use === use)!;
  if (use === 'A5' && volume_m3 > line.to_m3) return 2;
  if (volume_m3 < line.from_m3 || volume_m3 > line.to_m3) return null;
  return line.slope_s * Math.log10(volume_m3) + line.offset_s;
}

/**
 * Mean decay time in seconds, 200 Hz to 4 kHz, of a listening or control room: 0.25 (V / 100 m3)^(1/3)
 * (ITU-R BS.1116-3; EBU Tech 3276, 2nd edition 1998; from memory). The bare formula: it knows no limits of volume.
 */
export function listeningRoomTime_s(volume_m3: number): number {
  return 0.25 * Math.cbrt(volume_m3 / 100);
}

/** The least absorption area over volume, per metre, that DIN 18041:2016 group B asks at a clear height; null where it asks none. */
export function quietRoomAbsorption(use: 'B1' | 'B2' | 'B3' | 'B4' | 'B5', height_m: number): number | null {
  const entry = { B1: null, B2: [0.15, 4.8], B3: [0.2, 3.13], B4: [0.25, 2.13], B5: [0.3, 1.47] }[use];
  if (entry === null) return null;
  const [low, constant] = entry as [number, number];
  return height_m <= 2.5 ? low : 1 / (constant + 4.69 * Math.log10(height_m));
}

function schoolTarget(use: 'A2' | 'A3', volume_m3: number, most_m3: number): Target {
  const line = SCHOOL_LINES.find((candidate) => candidate.use === use)!;
  const source = `DIN 18041:2016, group ${use}`;
  if (volume_m3 < line.from_m3) {
    const reason = `the room holds ${volume_m3.toFixed(1)} m3, and ${source} starts at ${line.from_m3} m3`;
    return { ok: false, code: 'too-small', reason };
  }
  if (volume_m3 > most_m3) {
    const reason = `the room holds ${volume_m3.toFixed(0)} m3, and ${source} ends at ${most_m3} m3 for this use`;
    return { ok: false, code: 'too-large', reason };
  }
  const target_s = schoolTarget_s(use, volume_m3)!;
  const centre = SCHOOL_TOLERANCE.map(([centre_hz, low, high]) => ({
    centre_hz,
    target_s,
    low_s: low * target_s,
    high_s: high * target_s,
  }));
  const note = 'The figures hold for the room with its people in it; an empty room may read somewhat longer.';
  return { ok: true, source, centre, basis: 'formula', occupied: true, note };
}

/** Smallest room in which the end of the span still stands in: the smallest that DIN 18041 speaks of. A booth is judged by neither. */
const LISTENING_LEAST_M3 = 30;

function listeningTarget(volume_m3: number): Target {
  if (volume_m3 < LISTENING_LEAST_M3) {
    const reason = `the room holds ${volume_m3.toFixed(1)} m3, and no published figure we know of speaks of rooms under 30 m3`;
    return { ok: false, code: 'too-small', reason };
  }
  const byFormula_s = listeningRoomTime_s(volume_m3);
  if (byFormula_s > LISTENING_SPAN_S.high) {
    const reason = `the room holds ${volume_m3.toFixed(0)} m3, more than a listening room: EBU Tech 3276 ends at 0.4 s`;
    return { ok: false, code: 'too-large', reason };
  }
  const tooSmall = byFormula_s < LISTENING_SPAN_S.low;
  const target_s = tooSmall ? LISTENING_SPAN_S.low : byFormula_s;
  const centre = LISTENING_OCTAVES_HZ.map((centre_hz) => ({
    centre_hz,
    target_s,
    low_s: target_s - LISTENING_TOLERANCE_S,
    high_s: target_s + LISTENING_TOLERANCE_S,
  }));
  const note = tooSmall
    ? `The room is too small for the formula, which would ask ${byFormula_s.toFixed(3)} s; the lower end of the published span, 0.2 s, stands in.`
    : null;
  const source = 'EBU Tech 3276 (1998) and ITU-R BS.1116-3';
  return { ok: true, source, centre, basis: tooSmall ? 'span' : 'formula', occupied: false, note };
}

/**
 * What decay time a room should have for its purpose, octave by octave, in seconds; or why no published figure serves.
 * Nothing is extrapolated: a volume outside the range of a formula is refused, or said to rest on the published span.
 *
 * Which document serves which purpose, and why:
 * - mixing: EBU Tech 3276 and ITU-R BS.1116-3, written for rooms in which sound is judged over loudspeakers.
 * - speech-recording: the same. A microphone lacks the listener's two ears and needs a drier room than a lesson does;
 *   DIN 18041 is about listeners in the room and leaves studios aside. No published formula for recording booths is known
 *   to us, and this one, of the broadcasters, lies nearest.
 * - classroom, meeting: DIN 18041:2016 A3 (teaching and communication, 30 to 1000 m3), which gives every octave.
 * - music-practice: DIN 18041:2016 A2, from 50 m3. The standard's lists put the practice room of a music school there (read in a summary
 *   of the 2004 edition); A1 is for classes that sing and play, and for halls, and would call a good practice room too dead. Its upper
 *   limit is held at 1000 m3 here, as for the others: larger rooms are lecture halls.
 * - other: none; nobody can say what is right for a use that is not stated.
 *
 * The listening-room documents widen their tolerance below 200 Hz and above 4 kHz. That shape is not known to us well
 * enough to judge a room by, so those octaves are left out. Under 51 m3 their formula falls below 0.2 s, the short end
 * of the span EBU Tech 3276 gives; there 0.2 s is the target and `basis` says `span`,
 * down to 30 m3. Booths smaller still decay faster by nature, and would be called too dead without ground.
 */
export function targetByBand(purpose: Purpose, volume_m3: number | null): Target {
  if (purpose === 'other')
    return { ok: false, code: 'no-standard', reason: 'the project names no purpose that a standard covers' };
  if (volume_m3 === null)
    return { ok: false, code: 'no-volume', reason: "the project does not give the room's volume or its three edges" };
  switch (purpose) {
    case 'speech-recording':
    case 'mixing':
      return listeningTarget(volume_m3);
    case 'music-practice':
      return schoolTarget('A2', volume_m3, 1000);
    case 'meeting':
    case 'classroom':
      return schoolTarget('A3', volume_m3, 1000);
    default:
      return purpose satisfies never;
  }
}

/**
 * The target of a project, in seconds: what its users ask for where the project states that, in the octaves 250 Hz to 4 kHz; else the
 * published figures for its purpose and volume. A stated target is no standard, and its `source` does not claim one.
 */
export function projectTarget(project: Pick<Project, 'purpose' | 'room' | 'target'>): Target {
  const { target, purpose, room } = project;
  if (target === undefined) return targetByBand(purpose, roomVolume_m3(room));
  const { time: target_s, tolerance } = target;
  const low_s = Math.max(0, target_s - tolerance);
  const centre = LISTENING_OCTAVES_HZ.map((centre_hz) => ({
    centre_hz,
    target_s,
    low_s,
    high_s: target_s + tolerance,
  }));
  return { ok: true, source: 'the project', centre, basis: 'asked', occupied: false, note: null };
}
