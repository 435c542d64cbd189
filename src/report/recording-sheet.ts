import type { Project } from '../project/project.ts';
import { roomBox_m, roomVolume_m3 } from '../project/room-size.ts';
import { type WantedTakes, wantedTakes } from '../project/wanted-takes.ts';
import { soundSpeed, USUAL_TEMPERATURE_C } from '../room/sound-speed.ts';
import { EXPECTED_DECAY_S, EXPECTED_RANGE_DB, planPowers } from './plan-power.ts';

/** Round figures of ISO 3382-2:2008, 4.3: from any surface, and between microphones. */
const FROM_SURFACES_M = 1;
const BETWEEN_MICROPHONES_M = 2;
const BANDS_HZ = [125, 250, 500] as const;

/** What the recording sheet says of a room, in metres. */
export interface RecordingSheet {
  title: string;
  volume_m3: number | null;
  box: { length_m: number; width_m: number; height_m: number } | null;
  sound_speed_m_s: number;
  /** A shorter decay asks for a larger distance: that of a treated room is on the safe side. */
  assumed_decay_s: number;
  /** Least distance between source and microphone; null where the volume is unknown. */
  source_to_microphone_m: number | null;
  /** The longest distance there is between two places that keep 1 m from all walls; null where the room is no known box. */
  longest_m: number | null;
  /** Whether the room is large enough for all three distances; null where that is unknown. */
  distances_fit: boolean | null;
  wavelengths: { centre_hz: number; quarter_m: number; half_m: number }[];
  wanted: WantedTakes;
  /** The smallest change that the plan wanted finds, and that one clap at one position finds, in per cent of the decay time. */
  detectable: { centre_hz: number; wanted_percent: number; single_percent: number }[];
  assumed_range_db: number;
  /** A row to fill in for each stage and position. */
  rows: { stage: string; position: string }[];
  positions: { name: string; microphone: [number, number, number] | null; source: [number, number, number] | null }[];
}

/**
 * Returns the least distance in metres between source and microphone, d_min = 2 sqrt(V / (c T)), nearer than which the direct
 * sound outweighs the decay (ISO 3382-2:2008, 4.3).
 */
export function leastSourceDistance_m(room: { volume_m3: number; sound_speed_m_s: number; decay_s: number }): number {
  return 2 * Math.sqrt(room.volume_m3 / (room.sound_speed_m_s * room.decay_s));
}

/**
 * Returns what the sheet to take into the room says: distances worked out for this room (ISO 3382-2:2008, 4.3: a quarter
 * wavelength, about 1 m, from any surface; half a wavelength, about 2 m, between microphones; d_min from the source), how
 * much to record, and the rows to fill in by hand.
 */
export function recordingSheet(project: Project): RecordingSheet {
  const { room, positions, stages, title, purpose } = project;
  const volume_m3 = roomVolume_m3(room);
  const box = roomBox_m(room);
  const sound_speed_m_s = soundSpeed(room.temperature ?? USUAL_TEMPERATURE_C);
  const source_to_microphone_m =
    volume_m3 === null ? null : leastSourceDistance_m({ volume_m3, sound_speed_m_s, decay_s: EXPECTED_DECAY_S });
  const longest_m = box === null ? null : longestInside_m(box.length_m, box.width_m);
  const fits =
    longest_m === null || source_to_microphone_m === null
      ? null
      : longest_m >= Math.max(source_to_microphone_m, BETWEEN_MICROPHONES_M) && box!.height_m >= 2 * FROM_SURFACES_M;
  const wanted = wantedTakes(purpose);
  const named = Object.keys(positions);
  const names = named.length > 0 ? named : lettersUpTo(wanted.positions);
  return {
    title,
    volume_m3,
    box,
    sound_speed_m_s,
    assumed_decay_s: EXPECTED_DECAY_S,
    source_to_microphone_m,
    longest_m,
    distances_fit: fits,
    wavelengths: BANDS_HZ.map((centre_hz) => ({
      centre_hz,
      quarter_m: sound_speed_m_s / centre_hz / 4,
      half_m: sound_speed_m_s / centre_hz / 2,
    })),
    wanted,
    detectable: detectable(project),
    assumed_range_db: EXPECTED_RANGE_DB,
    rows: stages.flatMap(({ id, title: words }) => names.map((position) => ({ stage: words ?? id, position }))),
    positions: names.map((name) => ({
      name,
      microphone: positions[name]?.microphone ?? null,
      source: positions[name]?.source ?? null,
    })),
  };
}

function detectable(project: Project): RecordingSheet['detectable'] {
  const plans = planPowers(project);
  const single = plans[0]!;
  const wanted = plans.find((plan) => plan.wanted)!;
  return wanted.bands.map(({ centre_hz, detectable_percent }, i) => ({
    centre_hz,
    wanted_percent: detectable_percent,
    single_percent: single.bands[i]!.detectable_percent,
  }));
}

/** The diagonal of what is left of the plan a metre from the walls; 0 where nothing is. */
function longestInside_m(length_m: number, width_m: number): number {
  const inner_length_m = length_m - 2 * FROM_SURFACES_M;
  const inner_width_m = width_m - 2 * FROM_SURFACES_M;
  return inner_length_m < 0 || inner_width_m < 0 ? 0 : Math.hypot(inner_length_m, inner_width_m);
}

function lettersUpTo(count: number): string[] {
  return Array.from({ length: count }, (_, i) => String.fromCharCode('A'.charCodeAt(0) + i));
}
