import { describe, expect, test } from 'vitest';
import { boxModes, modeBandwidth_hz, modeCountEstimate, schroederFrequency_hz } from '../../src/room/modes.ts';

const BOX = { length_m: 5.2, width_m: 3.6, height_m: 2.6 };

describe('modes of a box', () => {
  test('axial modes of a 16 x 12 x 8 ft room agree with the Handbook for Sound Engineers, table 6-4', () => {
    // Its speed of sound is 1130 ft/s.
    const box = { length_m: 16, width_m: 12, height_m: 8 };
    const axial = (axis: number) =>
      boxModes(box, 142, 1130)
        .filter((mode) => mode.kind === 'axial' && mode.order[axis]! > 0)
        .map((mode) => mode.frequency_hz);
    const expected = [
      [35.31, 70.63, 105.94, 141.25],
      [47.08, 94.17, 141.25],
      [70.63, 141.25],
    ];
    expected.forEach((row, axis) => {
      expect(axial(axis).length).toBe(row.length);
      row.forEach((value, index) => {
        expect(Math.abs(axial(axis)[index]! - value)).toBeLessThan(0.01);
      });
    });
  });

  test('a 5.2 x 3.6 x 2.6 m room has the eighteen modes Rayleigh gives it under 119 Hz', () => {
    // Computed from Rayleigh's formula, c = 343 m/s.
    const expected: [number, string, string][] = [
      [32.981, '1 0 0', 'axial'],
      [47.639, '0 1 0', 'axial'],
      [57.941, '1 1 0', 'tangential'],
      [65.962, '0 0 1', 'axial'],
      [65.962, '2 0 0', 'axial'],
      [73.747, '1 0 1', 'tangential'],
      [81.366, '0 1 1', 'tangential'],
      [81.366, '2 1 0', 'tangential'],
      [87.796, '1 1 1', 'oblique'],
      [93.284, '2 0 1', 'tangential'],
      [95.278, '0 2 0', 'axial'],
      [98.942, '3 0 0', 'axial'],
      [100.825, '1 2 0', 'tangential'],
      [104.744, '2 1 1', 'oblique'],
      [109.814, '3 1 0', 'tangential'],
      [115.883, '0 2 1', 'tangential'],
      [115.883, '2 2 0', 'tangential'],
      [118.914, '3 0 1', 'tangential'],
    ];
    const got = boxModes(BOX, 119, 343);
    expect(got.map((mode) => [mode.order.join(' '), mode.kind])).toEqual(
      expected.map(([, order, kind]) => [order, kind]),
    );
    got.forEach((mode, index) => {
      expect(Math.abs(mode.frequency_hz - expected[index]![0])).toBeLessThan(0.001);
    });
  });

  test('it has 63 modes below 200 Hz where the smoothed count of Maa and Bolt says 65.96', () => {
    expect(boxModes(BOX, 200, 343)).toHaveLength(63);
    expect(modeCountEstimate(BOX, 200, 343)).toBeCloseTo(65.96, 2);
  });
});

describe('Schroeder frequency (J. Acoust. Soc. Am. 99, 1996, 3240)', () => {
  test.each([
    [0.5, 48.672, 202.71],
    [0.3, 48.672, 157.02],
    [0.4, 100, 126.49],
    [1.0, 200, 141.42],
  ])('T %d s in %d m3: %d Hz', (time_s, volume_m3, expected) => {
    expect(schroederFrequency_hz(time_s, volume_m3)).toBeCloseTo(expected, 2);
  });
  test('a mode of 0.5 s is 4.4 Hz wide', () => {
    expect(modeBandwidth_hz(0.5)).toBeCloseTo(4.4, 9);
  });
});
