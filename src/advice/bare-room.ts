import type { Project } from '../project/project.ts';
import { roomVolume_m3 } from '../project/room-size.ts';
import { absorptionAt, type Material } from '../room/materials.ts';
import { predictBareRoom } from '../room/prediction.ts';
import type { StageFinding } from '../statistics/finding.ts';
import type { BarePrediction } from './advice.ts';
import { predictionRoom } from './conditions.ts';
import { OCTAVE_CENTRES_HZ, octaveDecay } from './stage-decay.ts';

/**
 * Decay times that the listed surfaces make one expect of the bare room, in the octaves for which every material has a coefficient, beside
 * those of the first stage. null where the project lists no surfaces or no volume. A material the table does not hold is named, and
 * nothing is predicted.
 */
export function bareRoom(
  project: Project,
  materials: readonly Material[],
  first: StageFinding | null,
): BarePrediction | null {
  const listed = project.room.surfaces ?? [];
  const volume_m3 = roomVolume_m3(project.room);
  if (listed.length === 0 || volume_m3 === null) return null;
  const rows = new Map(materials.map((material) => [material.id, material]));
  const unknown_materials = [...new Set(listed.map(({ material }) => material).filter((id) => !rows.has(id)))];
  if (unknown_materials.length > 0) return { bands: [], unknown_materials };
  const bands = OCTAVE_CENTRES_HZ.flatMap((centre_hz) => {
    const alphas = listed.map(({ material }) => absorptionAt(rows.get(material)!.absorption, centre_hz));
    if (alphas.some((alpha) => alpha === null)) return [];
    const surfaces = listed.map(({ area }, index) => ({ area_m2: area, alpha: alphas[index]! }));
    const room = predictionRoom(project, first?.id ?? null, { centre_hz, now_s: 1 })!;
    const predicted = predictBareRoom({ ...room, surfaces });
    if (predicted === null) return [];
    return [
      { centre_hz, predicted, measured_s: first === null ? null : (octaveDecay(first, centre_hz)?.value ?? null) },
    ];
  });
  return { bands, unknown_materials };
}
