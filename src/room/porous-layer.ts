import { add, type Complex, complex, divide, multiply, scale, squareRoot, tangent } from './complex.ts';

/** A porous layer before a hard wall. */
export interface PorousLayer {
  thickness_m: number;
  /** Air between layer and wall, in metres. */
  gap_m: number;
  /** Airflow resistivity, Pa s/m2: about 5000 for light wool to 50000 for dense board. */
  flow_resistivity_pa_s_m2: number;
}

const AIR_DENSITY_KG_M3 = 1.205;
const SOUND_SPEED_M_S = 343;
const AIR_IMPEDANCE = AIR_DENSITY_KG_M3 * SOUND_SPEED_M_S;
/** Steps of Simpson's rule over the angle. Twice as many move no result by 0.0005. */
const ANGLE_STEPS = 90;

/**
 * Characteristic impedance (Pa s/m) and wavenumber (1/m) of a fibrous material, time factor exp(i omega t): the form of Delany and
 * Bazley (Applied Acoustics 3, 1970, 105) with the constants of Miki (J. Acoust. Soc. Jpn. (E) 11, 1990, 19).
 */
export function fibrousMedium(frequency_hz: number, flow_resistivity_pa_s_m2: number): { zc: Complex; k: Complex } {
  const x = frequency_hz / flow_resistivity_pa_s_m2;
  const z = x ** -0.632;
  const g = x ** -0.618;
  const wavenumber = (2 * Math.PI * frequency_hz) / SOUND_SPEED_M_S;
  return {
    zc: scale(complex(1 + 0.07 * z, -0.107 * z), AIR_IMPEDANCE),
    k: scale(complex(1 + 0.109 * g, -0.16 * g), wavenumber),
  };
}

/** Share of the sound a surface takes in at one angle, from its impedance at that angle and the cosine of the angle to its normal. */
export function absorptionOfImpedance(impedance: Complex, cosine: number): number {
  const z = scale(impedance, cosine / AIR_IMPEDANCE);
  return (4 * z.re) / ((1 + z.re) ** 2 + z.im ** 2);
}

/**
 * Mean over all directions of a diffuse field: integral of alpha(theta) sin(2 theta) from 0 to 90 degrees (Paris,
 * Philosophical Magazine 5, 1928, 489). `alphaAt` takes the cosine of the angle to the normal.
 */
export function diffuseMean(alphaAt: (cosine: number) => number): number {
  const step = Math.PI / 2 / ANGLE_STEPS;
  let total = 0;
  for (let i = 1; i < ANGLE_STEPS; i++) {
    const angle = i * step;
    total += (i % 2 === 1 ? 4 : 2) * alphaAt(Math.cos(angle)) * Math.sin(2 * angle);
  }
  return (total * step) / 3;
}

/** Absorption at one angle, waves refracted into the layer. */
function layerAbsorption(layer: PorousLayer, frequency_hz: number, cosine: number): number {
  const { zc, k } = fibrousMedium(frequency_hz, layer.flow_resistivity_pa_s_m2);
  const k0 = (2 * Math.PI * frequency_hz) / SOUND_SPEED_M_S;
  const sine2 = 1 - cosine * cosine;
  const kz = squareRoot(add(multiply(k, k), complex(-k0 * k0 * sine2)));
  const z = divide(multiply(zc, k), kz);
  const tan = tangent(scale(kz, layer.thickness_m));
  return absorptionOfImpedance(surfaceImpedance(z, tan, gapAdmittance(layer.gap_m, k0, cosine)), cosine);
}

/** Admittance of a closed gap of air at its open side: i tan(k d) / Z, none where it is closed. */
function gapAdmittance(gap_m: number, k0: number, cosine: number): Complex {
  return complex(0, (cosine / AIR_IMPEDANCE) * Math.tan(k0 * cosine * gap_m));
}

/** Z (1 + i Z Y tan... ) written with the admittance Y behind the layer, which is finite where the wall is hard. */
function surfaceImpedance(z: Complex, tan: Complex, behind: Complex): Complex {
  const i = complex(0, 1);
  const above = add(complex(1), multiply(multiply(i, tan), multiply(z, behind)));
  const below = add(multiply(z, behind), multiply(i, tan));
  return divide(multiply(z, above), below);
}

/**
 * Absorption coefficient of the layer for sound that meets it head on, as an impedance tube would show it. The model describes
 * fibrous materials for 0.01 < f / flow resistivity < 1 and gives a sense of thickness and gap; it is no data for a product.
 */
export function normalAbsorption(layer: PorousLayer, frequency_hz: number): number {
  return layerAbsorption(layer, frequency_hz, 1);
}

/**
 * Absorption coefficient of a large layer in a diffuse field (0 to 1; no edge effect, so a reverberation room shows more).
 * Waves travel on into the layer and the gap at their refracted angle.
 */
export function diffuseAbsorption(layer: PorousLayer, frequency_hz: number): number {
  return diffuseMean((cosine) => layerAbsorption(layer, frequency_hz, cosine));
}

/**
 * The frequency in Hz for which the front of the layer stands a quarter wavelength off the wall, where a porous layer first works fully
 * at normal incidence (Everest, Master Handbook of Acoustics, ch. 12). Thickness and gap in metres.
 */
export function quarterWaveFrequency_hz(layer: { thickness_m: number; gap_m: number }): number {
  return SOUND_SPEED_M_S / (4 * (layer.thickness_m + layer.gap_m));
}

/** Depth in metres, layer and gap together, of a quarter wavelength at `frequency_hz`. */
export function quarterWaveDepth_m(frequency_hz: number): number {
  return SOUND_SPEED_M_S / (4 * frequency_hz);
}
