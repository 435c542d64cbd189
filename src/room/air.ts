/** State of the air. Temperature in degrees Celsius, relative humidity in per cent, pressure in kilopascal (101.325 if left out). */
export interface Air {
  temperature_c: number;
  humidity_percent: number;
  pressure_kpa?: number;
}

const REFERENCE_PRESSURE_KPA = 101.325;
const REFERENCE_K = 293.15;
const TRIPLE_POINT_K = 273.16;

/** Exact base-ten midband in Hz for a nominal octave or one-third-octave midband (IEC 61260-1:2014, 5.2 to 5.5): 63 gives 63.096. */
export function exactMidband_hz(nominal_hz: number): number {
  return 10 ** (Math.round(10 * Math.log10(nominal_hz)) / 10);
}

/**
 * Attenuation of a pure tone in air, in dB per metre, at `frequency_hz` (ISO 9613-1:1993, formulas (3) to (5) and annex B):
 * classical loss plus the relaxation of oxygen and nitrogen.
 */
export function airAttenuation_db_m(frequency_hz: number, air: Air): number {
  const kelvin = 273.15 + air.temperature_c;
  const warmth = kelvin / REFERENCE_K;
  const pressure = (air.pressure_kpa ?? REFERENCE_PRESSURE_KPA) / REFERENCE_PRESSURE_KPA;
  const saturation = 10 ** (-6.8346 * (TRIPLE_POINT_K / kelvin) ** 1.261 + 4.6151);
  const molar_percent = (air.humidity_percent * saturation) / pressure;
  const oxygen_hz = pressure * (24 + (4.04e4 * molar_percent * (0.02 + molar_percent)) / (0.391 + molar_percent));
  const nitrogen_hz =
    (pressure / Math.sqrt(warmth)) * (9 + 280 * molar_percent * Math.exp(-4.17 * (warmth ** (-1 / 3) - 1)));
  const f2 = frequency_hz ** 2;
  const classical = (1.84e-11 / pressure) * Math.sqrt(warmth);
  const oxygen = (0.01275 * Math.exp(-2239.1 / kelvin)) / (oxygen_hz + f2 / oxygen_hz);
  const nitrogen = (0.1068 * Math.exp(-3352 / kelvin)) / (nitrogen_hz + f2 / nitrogen_hz);
  return 8.686 * f2 * (classical + warmth ** -2.5 * (oxygen + nitrogen));
}

/**
 * Power attenuation coefficient m of air, per metre, at the exact midband of a band named by its nominal one:
 * m = a / (10 lg e), a in dB per metre (ISO 354:2003, 8.1.2.1).
 */
export function airPowerCoefficient_per_m(nominal_hz: number, air: Air): number {
  return airAttenuation_db_m(exactMidband_hz(nominal_hz), air) / (10 * Math.LOG10E);
}
