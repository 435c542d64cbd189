/** Air temperature taken where none is stated, in degrees Celsius: that of the worked values in ISO 354. */
export const USUAL_TEMPERATURE_C = 20;

/**
 * Speed of sound in m/s at an air temperature in degrees Celsius, over the whole range people live in:
 * 343.2 sqrt((273.15 + t) / 293.15) (ISO 9613-1:1993, A.4).
 */
export function soundSpeedIso9613(temperature_c: number): number {
  return 343.2 * Math.sqrt((273.15 + temperature_c) / 293.15);
}

/**
 * Speed of sound in m/s as absorption measurements take it: 331 + 0.6 t between 15 and 30 degrees Celsius
 * (ISO 354:2003, 8.1.2.1). The line is not meant for other temperatures: there the formula of ISO 9613-1 stands
 * in, which differs from it by 0.08 per cent at the seam.
 */
export function soundSpeed(temperature_c: number): number {
  if (temperature_c >= 15 && temperature_c <= 30) return 331 + 0.6 * temperature_c;
  return soundSpeedIso9613(temperature_c);
}
