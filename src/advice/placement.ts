import type { Project } from '../project/project.ts';
import { roomBox_m } from '../project/room-size.ts';
import { type Geometry, type MatchedReflection, matchReflections } from '../room/image-sources.ts';
import type { Reflection } from '../room/reading.ts';
import { soundSpeed } from '../room/sound-speed.ts';
import { typicalReflections } from '../room/typical-reflections.ts';
import type { AdviceStatus, Placement, PlacementSpot } from './advice.ts';
import { stageAir } from './conditions.ts';
import { callsForAbsorption } from './start.ts';

/** Reflections found at one position: a list for each of its responses. */
export interface PositionReflections {
  position: string;
  responses: readonly (readonly Reflection[])[];
}

/** In the first 15 ms reflections should lie at least 10 dB below the direct sound (EBU Tech 3276, 1998; ITU-R BS.1116-3; from memory). */
const WITHIN_S = 0.015;
const BELOW_DB = -10;

/**
 * For each position of which the plan is known: the early reflections most of its responses show, the face of the room each likely came
 * from, and whether it is too loud for a room to record or mix in. Treating that spot is advised only where the room calls for absorption;
 * where it does not, moving or angling is. Positions without a plan, or a room that is no box, give nothing.
 */
export function placement(input: {
  project: Project;
  stage: string | null;
  status: AdviceStatus;
  reflections: readonly PositionReflections[];
}): Placement[] {
  const { project, stage, status } = input;
  const box = roomBox_m(project.room);
  if (box === null) return [];
  const asked = project.purpose === 'mixing' || project.purpose === 'speech-recording';
  const speed_m_s = soundSpeed(stageAir(project, stage).temperature_c);
  return input.reflections.flatMap(({ position, responses }) => {
    const plan = project.positions[position];
    if (!plan?.microphone || !plan.source) return [];
    const geometry: Geometry = { box, source: plan.source, microphone: plan.microphone, speed_m_s };
    const spots = matchReflections(typicalReflections(responses), geometry).map((matched) =>
      spot(matched, asked, status),
    );
    return [{ position, asked, spots }];
  });
}

function spot(matched: MatchedReflection, asked: boolean, status: AdviceStatus): PlacementSpot {
  const { delay_s, level_db } = matched.measured;
  const too_loud = delay_s <= WITHIN_S && level_db > BELOW_DB;
  const likely = matched.candidates[0] ?? null;
  const worth = asked && too_loud && likely !== null;
  const action = !worth ? 'none' : callsForAbsorption(status) ? 'absorb-there' : 'move-or-angle';
  return { matched, likely, ambiguous: matched.candidates.length > 1, too_loud, action };
}
