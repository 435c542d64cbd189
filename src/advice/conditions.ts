import type { Project } from '../project/project.ts';
import { roomSurface_m2, roomVolume_m3 } from '../project/room-size.ts';
import { airPowerCoefficient_per_m } from '../room/air.ts';
import type { PredictionRoom } from '../room/prediction.ts';
import { soundSpeed, USUAL_TEMPERATURE_C } from '../room/sound-speed.ts';

/** The air of a stage: what is stated for it, else for the room; 20 degrees Celsius and no humidity where neither is. */
export function stageAir(
  project: Project,
  id: string | null,
): { temperature_c: number; humidity_percent: number | null } {
  const stage = project.stages.find((candidate) => candidate.id === id);
  return {
    temperature_c: stage?.temperature ?? project.room.temperature ?? USUAL_TEMPERATURE_C,
    humidity_percent: stage?.humidity ?? project.room.humidity ?? null,
  };
}

/** What predictions from a stage start from in one octave with decay time `now_s`; null where the volume is not known. */
export function predictionRoom(
  project: Project,
  id: string | null,
  now: { centre_hz: number; now_s: number },
): PredictionRoom | null {
  const volume_m3 = roomVolume_m3(project.room);
  if (volume_m3 === null) return null;
  const { temperature_c, humidity_percent } = stageAir(project, id);
  return {
    volume_m3,
    surface_m2: roomSurface_m2(project.room),
    speed_m_s: soundSpeed(temperature_c),
    air_per_m:
      humidity_percent === null ? 0 : airPowerCoefficient_per_m(now.centre_hz, { temperature_c, humidity_percent }),
    now_s: now.now_s,
  };
}
