import { diffuseAbsorption, quarterWaveDepth_m, quarterWaveFrequency_hz } from './porous-layer.ts';

/** What the depth of a porous layer, air behind it included, lets it do. */
export interface LayerReach {
  depth_m: number;
  /** From here up it works fully: the depth is a quarter wavelength. */
  full_from_hz: number;
  /** Below here it takes in less than about half: the depth is under a sixteenth of a wavelength. */
  half_from_hz: number;
}

/**
 * The quarter-wavelength rule turned on a layer (Everest, Master Handbook of Acoustics, ch. 12), and the sixteenth as the depth at
 * which a fibrous layer takes in about half of a diffuse field. The sixteenth is our own reading of the model of Delany, Bazley and
 * Miki (0.4 to 0.7 for 12 to 100 mm on a wall at 5000 to 40000 Pa s/m2), not a published rule. Thickness and gap in metres.
 */
export function layerReach(layer: { thickness_m: number; gap_m: number }): LayerReach {
  const full_from_hz = quarterWaveFrequency_hz(layer);
  return { depth_m: layer.thickness_m + layer.gap_m, full_from_hz, half_from_hz: full_from_hz / 4 };
}

/** Layers one can buy or build, thickness on the wall in metres, thinnest first. */
const THICKNESSES_M = [0.025, 0.05, 0.1, 0.15, 0.2] as const;

/** Flow resistivity of ordinary light to medium mineral wool (order of magnitude; common practice, no source). */
const ORDINARY_WOOL_PA_S_M2 = 10000;

export interface NeededLayer {
  centre_hz: number;
  quarter_wave_m: number;
  /** The thinnest layer of ordinary wool on a wall that the model gives half or more there; null: not even 200 mm, a resonator is the tool. */
  thickness_m: number | null;
}

/**
 * What it takes to absorb in one octave: the thinnest layer of mineral wool on a hard wall, from 25 to 200 mm, that takes in at least
 * half of a diffuse field at its midband by the model of Delany, Bazley and Miki at 10000 Pa s/m2. A sense of size, no product data.
 */
export function neededLayer(centre_hz: number): NeededLayer {
  const enough = (thickness_m: number) =>
    diffuseAbsorption({ thickness_m, gap_m: 0, flow_resistivity_pa_s_m2: ORDINARY_WOOL_PA_S_M2 }, centre_hz) >= 0.5;
  return {
    centre_hz,
    quarter_wave_m: quarterWaveDepth_m(centre_hz),
    thickness_m: THICKNESSES_M.find(enough) ?? null,
  };
}
