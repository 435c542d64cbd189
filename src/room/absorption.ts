/** A lining or an object in the room: its area in square metres and its absorption coefficient in one band. */
export interface Surface {
  area_m2: number;
  alpha: number;
}

/** What a decay formula needs of the room. `air_per_m` is the power coefficient m of the air, 0 to leave it out. */
export interface RoomVolume {
  volume_m3: number;
  speed_m_s: number;
  air_per_m?: number;
}

/** 24 ln 10 as standards round it (ISO 354:2003, formula (5)). The unrounded value is 55.262. */
export const DECAY_CONSTANT = 55.3;

/** Sum of area times coefficient, in square metres. */
export function totalAbsorption_m2(surfaces: readonly Surface[]): number {
  return surfaces.reduce((sum, surface) => sum + surface.area_m2 * surface.alpha, 0);
}

/** Sum of the areas, in square metres. */
export function totalArea_m2(surfaces: readonly { area_m2: number }[]): number {
  return surfaces.reduce((sum, surface) => sum + surface.area_m2, 0);
}

/**
 * Decay time in seconds that an equivalent absorption area gives a room: 55.3 V / (c (A + 4 m V))
 * (Sabine 1900; ISO 354:2003, formula (5), with its air term). Throws where there is nothing that absorbs.
 */
export function sabineTime_s(area_m2: number, room: RoomVolume): number {
  const whole_m2 = area_m2 + 4 * (room.air_per_m ?? 0) * room.volume_m3;
  if (!(whole_m2 > 0)) throw new RangeError('a decay time needs an absorption area above zero');
  return (DECAY_CONSTANT * room.volume_m3) / (room.speed_m_s * whole_m2);
}

/**
 * Decay time in seconds by Eyring (J. Acoust. Soc. Am. 1, 1930, 217): Sabine's formula with -S ln(1 - mean alpha) for A.
 * Throws where the mean coefficient is not between 0 and 1.
 */
export function eyringTime_s(surfaces: readonly Surface[], room: RoomVolume): number {
  const area_m2 = totalArea_m2(surfaces);
  return sabineTime_s(eyringArea_m2(totalAbsorption_m2(surfaces), area_m2), room);
}

/**
 * Decay time in seconds by Millington (J. Acoust. Soc. Am. 4, 1932, 69): each surface counts -S_i ln(1 - alpha_i).
 * Throws where a coefficient is not below 1: the formula has no answer there, which is its known weakness.
 */
export function millingtonTime_s(surfaces: readonly Surface[], room: RoomVolume): number {
  const area_m2 = surfaces.reduce((sum, { area_m2, alpha }) => sum + eyringArea_m2(area_m2 * alpha, area_m2), 0);
  return sabineTime_s(area_m2, room);
}

/** Eyring's exponent -S ln(1 - A/S) in square metres, for a Sabine area A on surfaces S. Throws unless 0 <= A < S. */
export function eyringArea_m2(sabine_m2: number, surface_m2: number): number {
  const mean = sabine_m2 / surface_m2;
  if (!(mean >= 0 && mean < 1)) throw new RangeError('a mean absorption coefficient lies between 0 and 1');
  return -surface_m2 * Math.log1p(-mean);
}

/** Equivalent absorption area in square metres, air left out, of a room with this decay time (ISO 354:2003, formulas (5) and (6)). */
export function absorptionArea_m2(time_s: number, room: RoomVolume): number {
  return (DECAY_CONSTANT * room.volume_m3) / (room.speed_m_s * time_s) - 4 * (room.air_per_m ?? 0) * room.volume_m3;
}
