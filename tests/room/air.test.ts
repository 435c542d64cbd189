import { describe, expect, test } from 'vitest';
import { airAttenuation_db_m, airPowerCoefficient_per_m, exactMidband_hz } from '../../src/room/air.ts';

const OCTAVES_HZ = [63, 125, 250, 500, 1000, 2000, 4000, 8000];
const attenuations = (temperature_c: number, humidity_percent: number) =>
  OCTAVES_HZ.map(
    (nominal) => 1000 * airAttenuation_db_m(exactMidband_hz(nominal), { temperature_c, humidity_percent }),
  );

describe('attenuation of air, dB/km', () => {
  // ISO 9613-2:1996, table 2, octaves 63 Hz to 8 kHz.
  test.each([
    [10, 70, [0.1, 0.4, 1.0, 1.9, 3.7, 9.7, 32.8, 117]],
    [20, 70, [0.1, 0.3, 1.1, 2.8, 5.0, 9.0, 22.9, 76.6]],
    [30, 70, [0.1, 0.3, 1.0, 3.1, 7.4, 12.7, 23.1, 59.3]],
    [15, 20, [0.3, 0.6, 1.2, 2.7, 8.2, 28.2, 88.8, 202]],
    [15, 50, [0.1, 0.5, 1.2, 2.2, 4.2, 10.8, 36.2, 129]],
    [15, 80, [0.1, 0.3, 1.1, 2.4, 4.1, 8.3, 23.7, 82.8]],
  ])('agrees with the published table at %d C and %d %%', (temperature_c, humidity_percent, table) => {
    attenuations(temperature_c, humidity_percent).forEach((value, band) => {
      expect(Math.abs(value - table[band]!)).toBeLessThanOrEqual(OCTAVES_HZ[band] === 8000 ? 0.5 : 0.06);
    });
  });

  // Worked independently from the formula of ISO 9613-1:1993 at the exact base-ten midbands.
  test.each([
    [10, 70, [0.122, 0.411, 1.043, 1.928, 3.658, 9.664, 32.77, 116.882]],
    [15, 80, [0.093, 0.343, 1.075, 2.399, 4.151, 8.313, 23.671, 82.831]],
    [20, 50, [0.123, 0.445, 1.318, 2.733, 4.665, 9.855, 29.419, 103.912]],
    [21, 45, [0.131, 0.473, 1.375, 2.795, 4.772, 10.274, 31.108, 110.085]],
  ])('follows the formula to its last printed figure at %d C and %d %%', (temperature_c, humidity_percent, table) => {
    attenuations(temperature_c, humidity_percent).forEach((value, band) => {
      expect(Math.abs(value - table[band]!)).toBeLessThanOrEqual(0.0006);
    });
  });

  test('at twice the pressure, with as many water molecules to each of air, twice the frequency is lost twice as fast', () => {
    // Loss per wavelength hangs on frequency over pressure, molar concentration and temperature alone (kinetic theory of gases; no clause).
    for (const frequency_hz of [250, 1000, 4000]) {
      const single = airAttenuation_db_m(frequency_hz, { temperature_c: 20, humidity_percent: 30 });
      const air = { temperature_c: 20, humidity_percent: 60, pressure_kpa: 2 * 101.325 };
      expect(airAttenuation_db_m(2 * frequency_hz, air)).toBeCloseTo(2 * single, 12);
    }
  });

  test('the power coefficient at 20 C, 50 %, 4 kHz is 0.006774 per metre', () => {
    // m = a / (10 lg e), ISO 354:2003, 8.1.2.1.
    expect(airPowerCoefficient_per_m(4000, { temperature_c: 20, humidity_percent: 50 })).toBeCloseTo(0.006774, 6);
  });
});

test('nominal midbands stand for exact ones', () => {
  // IEC 61260-1:2014, base-ten midbands.
  expect(exactMidband_hz(63)).toBeCloseTo(63.0957, 4);
  expect(exactMidband_hz(250)).toBeCloseTo(251.1886, 4);
  expect(exactMidband_hz(8000)).toBeCloseTo(7943.2823, 4);
});
