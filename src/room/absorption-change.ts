import { absorptionArea_m2 } from './absorption.ts';
import { type Air, airPowerCoefficient_per_m } from './air.ts';
import { soundSpeed } from './sound-speed.ts';

/** A decay time in one octave, with what is known of the air it was measured in. */
export interface TimedStage {
  time_s: number;
  standard_uncertainty_s: number;
  /** Degrees of freedom of that uncertainty; null: infinitely many. */
  dof: number | null;
  temperature_c: number;
  /** null: not stated, and the air term is left out of both stages. */
  humidity_percent: number | null;
}

export interface AbsorptionChange {
  /** Equivalent absorption area gained, in square metres; negative where the room lost some. */
  area_m2: number;
  standard_uncertainty_m2: number;
  /** By Welch and Satterthwaite; null: infinitely many. */
  dof: number | null;
  /** Whether the air's own absorption was taken out. */
  air_term: boolean;
}

export interface AbsorptionChangeInput {
  volume_m3: number;
  /** Relative standard uncertainty of the volume; 0.02 stands for edges taped to about a per cent each. */
  volume_relative_uncertainty?: number;
  /** Nominal octave midband: the air term needs it. */
  centre_hz: number;
  before: TimedStage;
  after: TimedStage;
  /** All surfaces of the room; with it the doubt between Sabine's and Eyring's formula enters the uncertainty. null: it cannot. */
  surface_m2?: number | null;
  /** Correlation of the two times, where one is established; 0 if left out. */
  correlation?: number;
}

/** Edges measured to about one per cent each, independently, give a volume to the root of three of that (our judgement, no source). */
export const VOLUME_RELATIVE_UNCERTAINTY = 0.02;

/**
 * Half-width of the doubt whether the field is diffuse, as a share of the gain: in simulated boxes of smooth faces, all lined alike, the gain
 * read low by 8 to 19 per cent (our simulation, no published source).
 */
const FIELD_HALF_WIDTH = 0.15;

function air(stage: TimedStage): Air | null {
  return stage.humidity_percent === null
    ? null
    : { temperature_c: stage.temperature_c, humidity_percent: stage.humidity_percent };
}

/**
 * What two decay times say was added to the room, in square metres of equivalent absorption area:
 * A_T = 55.3 V (1/(c2 T2) - 1/(c1 T1)) - 4 V (m2 - m1) (ISO 354:2003, 8.1.2, formulas (5) to (8)).
 * The uncertainty is propagated to first order (JCGM 100:2008, 5.1 and 5.2) from both times, and from the volume, which scales
 * the whole difference. The formula is Sabine's; what Eyring's would make of the same times differs, and where the surface is known a
 * rectangular distribution with that difference as its half-width is added (JCGM 100:2008, 4.3.7). So is the doubt whether the field in
 * the room is diffuse, which both formulas take for granted. Left at none, the correlation makes it too wide, never too narrow, where the stages share their positions.
 */
export function absorptionChange(input: AbsorptionChangeInput): AbsorptionChange {
  const { volume_m3, centre_hz, before, after } = input;
  const airBefore = air(before);
  const airAfter = air(after);
  const air_term = airBefore !== null && airAfter !== null;
  const areas_m2 = [before, after].map((stage) => {
    const speed_m_s = soundSpeed(stage.temperature_c);
    const air_per_m = air_term ? airPowerCoefficient_per_m(centre_hz, air(stage)!) : 0;
    return {
      net: absorptionArea_m2(stage.time_s, { volume_m3, speed_m_s, air_per_m }),
      gross: absorptionArea_m2(stage.time_s, { volume_m3, speed_m_s }),
      stage,
    };
  });
  const [first, second] = areas_m2 as [(typeof areas_m2)[0], (typeof areas_m2)[0]];
  const area_m2 = second.net - first.net;
  const parts = areas_m2.map(({ gross, stage }) => ({
    u: (gross * stage.standard_uncertainty_s) / stage.time_s,
    dof: stage.dof,
  }));
  parts.push({ u: Math.abs(area_m2) * (input.volume_relative_uncertainty ?? VOLUME_RELATIVE_UNCERTAINTY), dof: null });
  parts.push({ u: (Math.abs(area_m2) * FIELD_HALF_WIDTH) / Math.sqrt(3), dof: null });
  if (input.surface_m2) {
    const byEyring_m2 = sabineOf(second.net, input.surface_m2) - sabineOf(first.net, input.surface_m2);
    parts.push({ u: Math.abs(area_m2 - byEyring_m2) / Math.sqrt(3), dof: null });
  }
  const shared = 2 * (input.correlation ?? 0) * parts[0]!.u * parts[1]!.u;
  return { area_m2, ...combine(parts, shared), air_term };
}

/** Sum of area times coefficient that Eyring's formula sees behind an absorption area worked out by Sabine's. */
function sabineOf(area_m2: number, surface_m2: number): number {
  return surface_m2 * (1 - Math.exp(-area_m2 / surface_m2));
}

function combine(parts: readonly { u: number; dof: number | null }[], shared: number) {
  const variance = parts.reduce((sum, { u }) => sum + u * u, 0);
  const share = parts.reduce((sum, { u, dof }) => (dof === null ? sum : sum + u ** 4 / dof), 0);
  return {
    standard_uncertainty_m2: Math.sqrt(Math.max(0, variance - shared)),
    dof: share > 0 ? variance ** 2 / share : null,
  };
}
