import { describe, expect, test } from 'vitest';
import {
  absorptionArea_m2,
  eyringArea_m2,
  eyringTime_s,
  millingtonTime_s,
  sabineTime_s,
  totalAbsorption_m2,
} from '../../src/room/absorption.ts';

const FOOT_M = 0.3048;

describe('worked rooms of F. A. Everest, Master Handbook of Acoustics, 4th ed. (2001), chapter 7', () => {
  // Concrete floor 373 ft2, gypsum board 1159 ft2, in example 2 acoustical tile 340 ft2 as well; V 3728 ft3; 125 Hz to 4 kHz.
  const concrete = [0.01, 0.01, 0.015, 0.02, 0.02, 0.02];
  const gypsum = [0.29, 0.1, 0.05, 0.04, 0.07, 0.09];
  const tile = [0.09, 0.28, 0.78, 0.84, 0.73, 0.64];
  const volume_m3 = 3728 * FOOT_M ** 3;
  // His constant in feet is 0.049; ours is 55.3 / c. This speed makes them the same.
  const speed_m_s = (55.3 * FOOT_M) / 0.049;
  const surfaces = (band: number, withTile: boolean) => [
    { area_m2: 373 * FOOT_M ** 2, alpha: concrete[band]! },
    { area_m2: 1159 * FOOT_M ** 2, alpha: gypsum[band]! },
    ...(withTile ? [{ area_m2: 340 * FOOT_M ** 2, alpha: tile[band]! }] : []),
  ];
  const time = (band: number, withTile: boolean) =>
    sabineTime_s(totalAbsorption_m2(surfaces(band, withTile)), { volume_m3, speed_m_s });

  test('example 1: the bare room, as he adds it up and as he prints it', () => {
    const sabins = [339.8, 119.6, 63.5, 53.8, 88.6, 111.8];
    sabins.forEach((expected, band) => {
      expect(Math.abs(totalAbsorption_m2(surfaces(band, false)) / FOOT_M ** 2 - expected)).toBeLessThan(0.1);
    });
    [0.538, 1.527, 2.875, 3.394, 2.062, 1.634].forEach((expected, band) => {
      expect(Math.abs(time(band, false) - expected)).toBeLessThan(0.001);
    });
    expect(Math.abs(time(0, false) - 0.54)).toBeLessThan(0.01);
    expect(Math.abs(time(3, false) - 3.39)).toBeLessThan(0.01);
  });

  test('example 2: with the tile, as he prints it', () => {
    [0.49, 0.85, 0.56, 0.54, 0.54, 0.55].forEach((expected, band) => {
      expect(Math.abs(time(band, true) - expected)).toBeLessThan(0.01);
    });
  });

  test('Eyring on example 2 lies below Sabine', () => {
    // Computed with S 1532 ft2 (the tile covers gypsum board, yet is added to its absorption as he does).
    const eyring = [0.431, 0.789, 0.494, 0.476, 0.48, 0.493];
    eyring.forEach((expected, band) => {
      const absorption_m2 = totalAbsorption_m2(surfaces(band, true));
      const area_m2 = 1532 * FOOT_M ** 2;
      const got = eyringTime_s([{ area_m2, alpha: absorption_m2 / area_m2 }], { volume_m3, speed_m_s });
      expect(Math.abs(got - expected)).toBeLessThan(0.001);
    });
  });
});

describe('classroom examples', () => {
  // A 10 x 5 x 4 m room, walls 0.35, ceiling 0.60, floor 0.15, from lecture slides; results computed, c = 343 m/s.
  const surfaces = [
    { area_m2: 120, alpha: 0.35 },
    { area_m2: 50, alpha: 0.6 },
    { area_m2: 50, alpha: 0.15 },
  ];
  test('Sabine, Eyring and Millington give 0.4056, 0.3269 and a shorter time still', () => {
    const room = { volume_m3: 200, speed_m_s: 343 };
    expect(totalAbsorption_m2(surfaces)).toBeCloseTo(79.5, 9);
    expect(sabineTime_s(79.5, room)).toBeCloseTo(0.4056, 4);
    expect(eyringTime_s(surfaces, room)).toBeCloseTo(0.3269, 4);
    const habit = { volume_m3: 200, speed_m_s: 55.3 / 0.161 };
    expect(sabineTime_s(79.5, habit)).toBeCloseTo(0.405, 4);
    expect(eyringTime_s(surfaces, habit)).toBeCloseTo(0.3264, 4);
    expect(millingtonTime_s(surfaces, habit)).toBeCloseTo(0.3048, 4);
  });

  test('a 20 x 8 x 4 m hall with 22.4 m2 decays in 4.6 s', () => {
    // Lecture slides, acoustics module 3: floor 0.02, ceiling and walls 0.05.
    expect(sabineTime_s(160 * 0.02 + 160 * 0.05 + 224 * 0.05, { volume_m3: 640, speed_m_s: 343 })).toBeCloseTo(
      4.6064,
      4,
    );
  });

  test('a 10 x 8 x 6 m classroom of 3 s holds 25.8 m2, a mean coefficient of 0.068', () => {
    // Exam question with solution, 0.161 V / T.
    const area_m2 = absorptionArea_m2(3, { volume_m3: 480, speed_m_s: 55.3 / 0.161 });
    expect(area_m2).toBeCloseTo(25.76, 2);
    expect(area_m2 / 376).toBeCloseTo(0.0685, 4);
  });
});

describe('limits of the formulas', () => {
  const room = { volume_m3: 50, speed_m_s: 343 };
  test('Millington and Eyring refuse full absorption, Sabine an empty account', () => {
    expect(() => millingtonTime_s([{ area_m2: 10, alpha: 1 }], room)).toThrow('between 0 and 1');
    expect(() => eyringTime_s([{ area_m2: 10, alpha: 1.1 }], room)).toThrow('between 0 and 1');
    expect(() => sabineTime_s(0, room)).toThrow('above zero');
    expect(() => eyringTime_s([{ area_m2: 10, alpha: -0.1 }], room)).toThrow('between 0 and 1');
  });
  test('a face that takes in nothing changes none of the three', () => {
    const lined = [{ area_m2: 20, alpha: 0.3 }];
    const bare = { area_m2: 0.5, alpha: 0 };
    expect(millingtonTime_s([...lined, bare], room)).toBe(millingtonTime_s(lined, room));
    expect(eyringArea_m2(0, 30)).toBeCloseTo(0, 12);
  });
  test('the air shortens the decay and is taken out again', () => {
    const air = { ...room, air_per_m: 0.006774 };
    const time_s = sabineTime_s(10, air);
    expect(time_s).toBeLessThan(sabineTime_s(10, room));
    expect(absorptionArea_m2(time_s, air)).toBeCloseTo(10, 9);
  });
});
