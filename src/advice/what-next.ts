import type { Project } from '../project/project.ts';
import { roomBox_m, roomVolume_m3 } from '../project/room-size.ts';
import { neededLayer } from '../room/layer-reach.ts';
import type { Material } from '../room/materials.ts';
import { summariseModes } from '../room/mode-advice.ts';
import { soundSpeed } from '../room/sound-speed.ts';
import { type BandDistance, distanceToTarget } from '../room/target-distance.ts';
import { projectTarget, type Target } from '../room/targets.ts';
import type { Change, StageFinding } from '../statistics/finding.ts';
import type { Advice, AdviceStatus, BarePrediction, Caution, Forecast, LowFrequency, Placement } from './advice.ts';
import { bareRoom } from './bare-room.ts';
import { bestCombinations } from './combinations.ts';
import { predictionRoom, stageAir } from './conditions.ts';
import { forecast, ranked } from './forecast.ts';
import { genericAbsorbers } from './generic-absorbers.ts';
import { type PositionReflections, placement } from './placement.ts';
import { stageEstimates } from './stage-decay.ts';
import { type Candidate, callsForAbsorption, type Start, type StartBand, tooLong } from './start.ts';
import { treatmentEffect } from './treatment-effect.ts';

/** What advice is made from. */
export interface AdviceInput {
  project: Project;
  stages: readonly StageFinding[];
  changes: readonly Change[];
  /** The table of generic materials. */
  materials: readonly Material[];
  /** Early reflections of the last measured stage, by position; empty where there are none. */
  reflections?: readonly PositionReflections[];
  /** Money there is, in the currency of the project; null: no limit; left out: what the project says. */
  budget?: number | null;
  /** Square metres of wall and ceiling that may be covered; null: no limit; left out: what the project says. */
  free_area_m2?: number | null;
}

/**
 * What the measurements mean for the room's purpose and what to do next. Starts from the last stage with a decay time. Absorption is
 * suggested only where some octave lies above its tolerance with its whole 95 % interval; nothing is suggested that is predicted to take
 * an octave below it. Options are forecast in any case, so that a project without a target still sees what each would do.
 */
export function whatNext(input: AdviceInput): Advice {
  const { project, stages, changes, materials } = input;
  const volume_m3 = roomVolume_m3(project.room);
  const target = projectTarget(project);
  const current = stages.findLast((stage) => stageEstimates(stage).length > 0) ?? null;
  const distance = distanceOf(project, current, target);
  const status = statusOf(current, target, distance);
  const bare = bareRoom(project, materials, stages.find(({ id }) => id === project.stages[0]!.id) ?? null);
  const start: Start = {
    status,
    bands: current === null ? bareStart(project, bare) : startBands(project, current, distance),
    budget: input.budget === undefined ? (project.budget ?? null) : input.budget,
    free_area_m2: input.free_area_m2 === undefined ? (project.free_area ?? null) : input.free_area_m2,
  };
  const candidates = project.options.map(
    (option, index): Candidate => ({ ...option, option: index, material: null, basis: 'product' }),
  );
  const options = ranked(candidates.map((candidate) => forecast(candidate, start)));
  const generic = candidates.length === 0 ? genericAbsorbers(materials, start) : [];
  const spots = placement({ project, stage: current?.id ?? null, status, reflections: input.reflections ?? [] });
  return {
    target,
    stage: current?.id ?? null,
    status,
    distance,
    bare,
    forecast_from: start.bands.length === 0 ? null : current === null ? 'surfaces' : 'measured',
    effects: changes.flatMap((change) => treatmentEffect({ project, change, stages, volume_m3 }) ?? []),
    options: options.forecasts,
    generic,
    ranked_by: options.by ?? (generic.length > 0 ? 'area' : null),
    combinations: bestCombinations(
      candidates.filter((_, index) => options.forecasts.some((entry) => entry.option === index && entry.recommended)),
      start,
    ),
    needed: callsForAbsorption(status) ? tooLong(start).map(({ now }) => neededLayer(now.centre_hz)) : [],
    low_frequency: lowFrequency(project, current),
    placement: spots,
    cautions: cautionsFor([...options.forecasts, ...generic], spots, materials),
  };
}

function distanceOf(project: Project, stage: StageFinding | null, target: Target): BandDistance[] {
  const volume_m3 = roomVolume_m3(project.room);
  if (stage === null || !target.ok || volume_m3 === null) return [];
  const speed_m_s = soundSpeed(stageAir(project, stage.id).temperature_c);
  return distanceToTarget({ volume_m3, speed_m_s, now: stageEstimates(stage), target: target.centre });
}

function statusOf(stage: StageFinding | null, target: Target, distance: readonly BandDistance[]): AdviceStatus {
  if (stage === null) return 'not-measured';
  if (!target.ok) return 'no-target';
  if (distance.length === 0) return 'not-measured';
  const long = distance.some(({ state }) => state === 'too-long');
  const dead = distance.some(({ state }) => state === 'too-dead');
  if (long) return dead ? 'mixed' : 'too-long';
  if (dead) return 'too-dead';
  return distance.every(({ state }) => state === 'met') ? 'met' : 'unclear';
}

function startBands(project: Project, stage: StageFinding, distance: readonly BandDistance[]): StartBand[] {
  return stageEstimates(stage).flatMap((now): StartBand[] => {
    const { centre_hz, time_s } = now;
    const room = predictionRoom(project, stage.id, { centre_hz, now_s: time_s });
    if (room === null) return [];
    return [{ now, room, distance: distance.find((band) => band.centre_hz === centre_hz) ?? null }];
  });
}

/** Without a measurement the prediction from the surfaces is a start for forecasts, with its wide interval, and never for a verdict. */
function bareStart(project: Project, bare: BarePrediction | null): StartBand[] {
  return (bare?.bands ?? []).map(({ centre_hz, predicted }) => {
    const { time_s, low_s, high_s } = predicted;
    const half_s = (high_s - low_s) / 2;
    const now = { centre_hz, time_s, standard_uncertainty_s: half_s / 2, expanded_uncertainty_s: half_s };
    return { now, room: predictionRoom(project, null, { centre_hz, now_s: time_s })!, distance: null };
  });
}

function lowFrequency(project: Project, stage: StageFinding | null): LowFrequency | null {
  const box = roomBox_m(project.room);
  if (box === null || stage === null) return null;
  const now = stageEstimates(stage);
  const mid = now.filter(({ centre_hz }) => centre_hz === 500 || centre_hz === 1000);
  if (mid.length < 2) return null;
  const time_s = (mid[0]!.time_s + mid[1]!.time_s) / 2;
  const modes = summariseModes(box, time_s, soundSpeed(stageAir(project, stage.id).temperature_c));
  const read = new Set(now.map(({ centre_hz }) => centre_hz));
  return { modes, refused_hz: [63, 125, 250, 500].filter((hz) => !read.has(hz)), time_s };
}

/** Cautions for anything that may be bought and fixed, forecasts included: a reader may act on what is only described. */
function cautionsFor(
  forecasts: readonly Forecast[],
  spots: readonly Placement[],
  materials: readonly Material[],
): Caution[] {
  const acting =
    forecasts.length > 0 || spots.some((place) => place.spots.some(({ action }) => action === 'absorb-there'));
  if (!acting) return [];
  const fibrous = forecasts.some(
    ({ material, option }) => option !== null || materials.find(({ id }) => id === material)?.fibrous === true,
  );
  return [
    'local-codes',
    'fire-behaviour',
    'fixings-overhead',
    'working-at-height',
    ...(fibrous ? (['fibre-dust'] as const) : []),
    'old-materials',
  ];
}
