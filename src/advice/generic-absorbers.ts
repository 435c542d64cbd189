import { absorptionAt, guardAbsorptionAt, type Material } from '../room/materials.ts';
import type { Forecast, ForecastReason } from './advice.ts';
import { forecast, ranked } from './forecast.ts';
import { type Candidate, callsForAbsorption, type Start, timeWith, tooLong, wouldOvershoot } from './start.ts';

/** Fewer square metres are not worth a sentence, and more than this many kinds are not worth a table (our choices). */
const LEAST_AREA_M2 = 0.5;
const MOST_LISTED = 6;
/** Octaves that tables of materials cover. */
const TABLE_HZ = { low: 125, high: 4000 } as const;
/** Areas are given in steps of this, rounded down. */
const STEP_M2 = 0.1;

/**
 * What generic absorbers from the table of materials would do, each at the area that brings the octaves that are too long to their target,
 * or as far towards it as the free area and the octaves that would become too dead allow. Best per square metre first, six at most;
 * empty where the room calls for no absorption. Rows with a blank from 125 Hz to 4 kHz in an octave
 * that is too long are passed over.
 */
export function genericAbsorbers(materials: readonly Material[], start: Start): Forecast[] {
  if (!callsForAbsorption(start.status)) return [];
  const forecasts = materials
    .filter(({ use }) => use === 'absorber')
    .flatMap((material) => {
      const fitted = fittedArea(material, start);
      if (fitted === null) return [];
      const found = forecast(candidateOf(material, fitted.area_m2), { ...start, budget: null });
      return found.recommended ? [{ ...found, reasons: [...found.reasons, ...fitted.reasons] }] : [];
    });
  return ranked(forecasts).forecasts.slice(0, MOST_LISTED);
}

function candidateOf(material: Material, area: number): Candidate {
  const { id, name, thickness, air_gap, absorption } = material;
  return {
    option: null,
    material: id,
    name,
    area,
    absorption,
    basis: 'table',
    ...(thickness === undefined ? {} : { thickness }),
    ...(air_gap === undefined ? {} : { air_gap }),
  };
}

function fittedArea(material: Material, start: Start): { area_m2: number; reasons: ForecastReason[] } | null {
  const wanted = tooLong(start).filter(({ now }) => now.centre_hz >= TABLE_HZ.low && now.centre_hz <= TABLE_HZ.high);
  if (wanted.length === 0 || wanted.some(({ now }) => !absorptionAt(material.absorption, now.centre_hz))) return null;
  const most_m2 = Math.min(start.free_area_m2 ?? Number.POSITIVE_INFINITY, largestArea_m2(start));
  const reached = (area_m2: number) =>
    wanted.every((band) => {
      const gain_m2 = area_m2 * absorptionAt(material.absorption, band.now.centre_hz)!;
      return timeWith(band, gain_m2) <= band.distance!.target_s;
    });
  const tooDead = (area_m2: number) =>
    start.bands.some((band) =>
      wouldOvershoot(band, area_m2 * guardAbsorptionAt(material.absorption, band.now.centre_hz)),
    );
  const untilReached_m2 = firstArea_m2(reached, most_m2);
  const untilDead_m2 = firstArea_m2(tooDead, most_m2);
  const exact_m2 = Math.min(untilReached_m2, untilDead_m2, most_m2);
  const area_m2 = Math.floor(exact_m2 / STEP_M2 + 1e-9) * STEP_M2;
  if (area_m2 < LEAST_AREA_M2) return null;
  const reasons: ForecastReason[] = [];
  if (exact_m2 < untilReached_m2)
    reasons.push(exact_m2 === untilDead_m2 ? 'stopped-before-too-dead' : 'limited-by-area');
  return { area_m2, reasons };
}

/** No more than half of the room's surfaces can be covered in practice (our choice); of an unknown room, those of a cube are taken. */
function largestArea_m2(start: Start): number {
  const room = start.bands[0]!.room;
  return (room.surface_m2 ?? 6 * Math.cbrt(room.volume_m3) ** 2) / 2;
}

/** The least area at which a condition that stays true once true becomes true, to 0.1 mm2; infinite where it does not up to `most_m2`. */
function firstArea_m2(holds: (area_m2: number) => boolean, most_m2: number): number {
  if (!holds(most_m2)) return Number.POSITIVE_INFINITY;
  let [low, high] = [0, most_m2];
  while (high - low > 1e-7) {
    const middle = (low + high) / 2;
    if (holds(middle)) high = middle;
    else low = middle;
  }
  return low;
}
